package report

import "math"

// Cividis is the scale that success is drawn in: perceptually uniform, and the same to people with and without colour
// vision deficiency (J. R. Nuñez, C. R. Anderton and R. S. Renslow, "Optimizing colormaps with consideration for color
// vision deficiency to enable accurate interpretation of scientific data", PLoS ONE 13 (2018) e0199239; title from
// memory). The entries are computed from the fifth-degree polynomials in which the d3-scale-chromatic library
// publishes the scale (interpolateCividis, read), so that page and paper show the same colours.
var Cividis = func() (table [256]Colour) {
	polynomials := [3][6]float64{
		{-4.54, -35.34, 2381.73, -6402.7, 7024.72, -2710.57},
		{32.49, 170.73, 52.82, -131.46, 176.58, -67.37},
		{81.24, 442.36, -2482.43, 6167.24, -6614.94, 2475.67},
	}
	for i := range table {
		t := float64(i) / 255
		var c [3]uint8
		for k, p := range polynomials {
			v := 0.0
			for n := len(p) - 1; n >= 0; n-- {
				v = v*t + p[n]
			}
			c[k] = uint8(math.Round(min(max(v, 0), 255)))
		}
		table[i] = Colour{c[0], c[1], c[2]}
	}
	return table
}()

// colourOf returns the colour of a probability.
func colourOf(p float64) Colour {
	return Cividis[int(math.Round(min(max(p, 0), 1)*255))]
}
