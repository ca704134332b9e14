package report

import (
	"math"
	"testing"
)

// lightness is CIE L* of an sRGB colour under D65 (IEC 61966-2-1 transfer function and CIE 1976 lightness; from memory).
func lightness(c Colour) float64 {
	linear := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	y := 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// The scale's authors ask for a lightness that rises in a straight line (J. R. Nuñez, C. R. Anderton and
// R. S. Renslow, PLoS ONE 13 (2018) e0199239; from memory). The ends of their table are (0, 34, 78) and (254, 232, 56)
// (from memory); the polynomial fit of the d3-scale-chromatic library (read), which the page uses too, stays within
// 15 of 255 of them.
func TestCividisPublished(t *testing.T) {
	first, last := lightness(Cividis[0]), lightness(Cividis[255])
	for i, c := range Cividis {
		want := first + (last-first)*float64(i)/255
		if l := lightness(c); math.Abs(l-want) > 2 {
			t.Errorf("entry %d has lightness %.2f, the straight line %.2f", i, l, want)
		}
		// Neighbours may tie when rounded to 8 bits a channel.
		if i > 1 && lightness(c) <= lightness(Cividis[i-2]) {
			t.Errorf("lightness does not rise from entry %d to %d", i-2, i)
		}
	}
	for _, end := range []struct {
		got  Colour
		want [3]int
	}{{Cividis[0], [3]int{0, 34, 78}}, {Cividis[255], [3]int{254, 232, 56}}} {
		for k, v := range [3]uint8{end.got.R, end.got.G, end.got.B} {
			if d := int(v) - end.want[k]; d < -15 || d > 15 {
				t.Errorf("end colour %v, published %v", end.got, end.want)
			}
		}
	}
}

// Equal solid angles take equal areas on the disc: the area inside tilt t is to the whole as the solid angle
// 2π(1 − cos t) is to that of the rim (J. H. Lambert 1772, azimuthal equal-area projection; common practice).
func TestDiscIsEqualArea(t *testing.T) {
	for _, rim := range []float64{45, 60, 90, 150} {
		d := &disc{0, 0, 1, math.Sin(rim * deg / 2)}
		for tilt := 0.0; tilt <= rim; tilt += 5 {
			p := d.place(tilt*deg, 1)
			area := p.X*p.X + p.Y*p.Y
			want := (1 - math.Cos(tilt*deg)) / (1 - math.Cos(rim*deg))
			if math.Abs(area-want) > 1e-12 {
				t.Errorf("rim %g°, tilt %g°: share of area %g, of solid angle %g", rim, tilt, area, want)
			}
		}
	}
}
