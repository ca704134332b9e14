package benchfit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/readings"
)

// Tests are the names of the hand tests that feed a description.
var Tests = []string{"bending", "blocking", "tendon", "stiffness"}

// CurvesOf takes the curves that can be fitted out of a test's table. Pushes count by their direction: closing and opening bend the
// joints that close, sideways the others; other directions, and other tests, give none.
func CurvesOf(test string, t *readings.Table) ([]Curve, error) {
	n := t.Numbers
	switch test {
	case "bending":
		return []Curve{{Kind: FreeBending, X: scaled(n["pressure_kPa"], 1e3), Y: scaled(n["angle_deg"], math.Pi/180)}}, nil
	case "blocking":
		var out []Curve
		for _, bench := range []struct {
			name string
			kind Kind
		}{{"guided", Guided}, {"tip-held", TipHeld}} {
			c := Curve{Kind: bench.kind}
			for i, b := range t.Texts["bench"] {
				if b == bench.name {
					c.X, c.Y = append(c.X, 1e3*n["pressure_kPa"][i]), append(c.Y, n["force_N"][i])
				}
			}
			if c.X != nil {
				out = append(out, c)
			}
		}
		return out, nil
	case "tendon":
		angle := scaled(n["angle_deg"], math.Pi/180)
		opening := make([]bool, t.Rows)
		for i, way := range t.Texts["direction"] {
			opening[i] = way == "opening"
		}
		return []Curve{{Kind: Travel, X: angle, Y: scaled(n["travel_mm"], 1e-3), Opening: opening}, {Kind: Tension, X: angle, Y: n["tension_N"], Opening: opening}}, nil
	case "stiffness":
		var out []Curve
		for _, d := range []struct {
			words []string
			kind  Kind
		}{{[]string{"closing", "opening"}, PushClosing}, {[]string{"sideways"}, PushSideways}} {
			c := Curve{Kind: d.kind}
			for i, word := range t.Texts["direction"] {
				if slices.Contains(d.words, strings.ToLower(word)) {
					c.X, c.Y = append(c.X, 1e-3*n["deflection_mm"][i]), append(c.Y, n["force_N"][i])
					c.Opening = append(c.Opening, strings.EqualFold(word, "opening"))
				}
			}
			if c.X != nil {
				out = append(out, c)
			}
		}
		return out, nil
	}
	return nil, fmt.Errorf("a record of %s says nothing that a description holds; %s do", test, strings.Join(Tests, ", "))
}

func scaled(list []float64, by float64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = by * v
	}
	return out
}

// Edge says in which units people read a curve, and by how much SI values are multiplied for them.
func (k Kind) Edge() (x, y string, perX, perY float64) {
	switch k {
	case FreeBending:
		return "pressure_kPa", "angle_deg", 1e-3, 180 / math.Pi
	case Guided, TipHeld:
		return "pressure_kPa", "force_N", 1e-3, 1
	case Travel:
		return "angle_deg", "travel_mm", 180 / math.Pi, 1e3
	case Tension:
		return "angle_deg", "tension_N", 180 / math.Pi, 1
	}
	return "deflection_mm", "force_N", 1e3, 1
}
