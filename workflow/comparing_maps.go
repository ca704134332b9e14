package workflow

import (
	"context"
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/compare"
)

// How finely two maps are compared: pixels across the disc, headings over one period of a hand without symmetry, and joint
// draws of each map. Pixels have equal areas and headings are even, so shares of them are shares of all orientations.
const (
	differenceSize     = 31
	differenceHeadings = 24
	differenceDraws    = 400
)

// MapsComparison is where one condition's success on the line is clearly better than another's.
type MapsComparison struct {
	A, B        ConditionRow
	Level       float64
	Blur        float64 // rad
	TiltMax     float64 // rad
	Size        int     // rows and columns of a picture
	Headings    int     // pictures, evenly over one period
	HeadingFold int
	// At every heading, then once for the mean over headings: rows from the top, left to right; outside the disc Inside is
	// false. As in [RasterInfo].
	Inside []bool
	Spots  [][]compare.Spot // [picture][pixel], the last picture is the mean over headings
	// Shares of all orientations up to TiltMax where A, or B, is clearly better: at each by itself, and in a band over all.
	ClearA, ClearB, SureA, SureB float64
	Sentence                     string
	Warnings                     []string
	Mark                         int64
}

type mapsKey struct {
	a, b fitKey
	blur float64
}

// CompareMaps compares the success maps of two levels of a factor, both seen through the line's error.
func (l *Lab) CompareMaps(ctx context.Context, q CompareQuery) (MapsComparison, error) {
	part := factors[q.By]
	if part == nil {
		return MapsComparison{}, invalid("say what to compare", domain.FieldError{Field: "query.by", Value: q.By, Reason: "must be strategy, hand, item or setting"})
	}
	if q.A == q.B {
		return MapsComparison{}, invalid("say which two to compare", domain.FieldError{Field: "query.b", Value: q.B, Reason: "is the same as a"})
	}
	var fits [2]*fitted
	for i, name := range []string{q.A, q.B} {
		c := q.Condition
		*part(&c) = name
		f, err := l.fit(ctx, q.Study, c)
		if err != nil {
			return MapsComparison{}, err
		}
		fits[i] = f
	}
	key := mapsKey{fits[0].key, fits[1].key, MapQuery{Blur: q.Blur}.blur(fits[0].study)}
	m, err := l.maps.compared.do(ctx, key, func(ctx context.Context) (MapsComparison, error) {
		return compareMaps(ctx, fits, key.blur, q.A, q.B)
	})
	m.Mark = fits[0].mark
	return m, err
}

func compareMaps(ctx context.Context, fits [2]*fitted, blur float64, a, b string) (MapsComparison, error) {
	sym := commonSymmetry(fits[0].symmetry, fits[1].symmetry)
	m := MapsComparison{
		A: fits[0].condition, B: fits[1].condition, Level: IntervalLevel, Blur: blur, TiltMax: math.Min(fits[0].tiltMax, fits[1].tiltMax),
		Size: differenceSize, HeadingFold: sym.Hand(), Headings: max(1, differenceHeadings/sym.Hand()), Inside: make([]bool, differenceSize*differenceSize),
	}
	for _, f := range fits {
		if f.condition.Trials < fewTrials {
			m.Warnings = append(m.Warnings, fmt.Sprintf("%s with %s has %d trials only; where it is clearly better rests on what is assumed as much as on what was seen.", f.condition.Strategy, f.condition.Item, f.condition.Trials))
		}
	}
	if fits[0].tiltMax != fits[1].tiltMax {
		m.Warnings = append(m.Warnings, fmt.Sprintf("One was tried up to a larger tilt than the other; they are compared up to %.0f°.", m.TiltMax*180/math.Pi))
	}
	pixels, orientations := m.orientations()
	var draws [2][][]float64
	for i, f := range fits {
		if err := ctx.Err(); err != nil {
			return m, err
		}
		var err error
		// Each map has draws of its own: with a seed in common the two would move together.
		if draws[i], err = f.jointDraws(differenceDraws, choiceSeed+uint64(i), blur, orientations); err != nil {
			return m, domain.Internal("drawing from the map", err)
		}
	}
	all, err := compare.OverOrientations(draws[0], draws[1], IntervalLevel)
	if err != nil {
		return m, err
	}
	m.ClearA, m.ClearB, m.SureA, m.SureB = all.ClearA, all.ClearB, all.SureA, all.SureB
	mean, err := compare.OverOrientations(overHeadings(draws[0], m.Headings), overHeadings(draws[1], m.Headings), IntervalLevel)
	if err != nil {
		return m, err
	}
	m.Spots = make([][]compare.Spot, m.Headings+1)
	for h := range m.Spots {
		from := all.Spots
		if h == m.Headings {
			from = mean.Spots
		} else {
			from = from[h*len(pixels):]
		}
		m.Spots[h] = make([]compare.Spot, len(m.Inside))
		for i, at := range pixels {
			m.Spots[h][at] = from[i]
		}
	}
	m.Sentence = m.sentence(a, b)
	return m, nil
}

// orientations lists the pixels on the disc, and their orientations heading by heading.
func (m *MapsComparison) orientations() (pixels []int, list []orient.Rotation) {
	var swings []orient.Rotation
	for row := range m.Size {
		for column := range m.Size {
			n := float64(m.Size)
			x, y := (2*float64(column)+1)/n-1, 1-(2*float64(row)+1)/n
			r := math.Hypot(x, y)
			if r > 1 {
				continue
			}
			m.Inside[row*m.Size+column] = true
			pixels = append(pixels, row*m.Size+column)
			swings = append(swings, orient.FromDirectionHeading(2*math.Asin(r*math.Sin(m.TiltMax/2)), math.Atan2(y, x), 0))
		}
	}
	for h := range m.Headings {
		turn := orient.RotZ(2 * math.Pi / float64(m.HeadingFold) * float64(h) / float64(m.Headings))
		for _, s := range swings {
			list = append(list, s.Mul(turn))
		}
	}
	return pixels, list
}

// overHeadings averages draws over headings; draws[d] lists the pixels heading by heading.
func overHeadings(draws [][]float64, headings int) [][]float64 {
	out := make([][]float64, len(draws))
	for d, row := range draws {
		n := len(row) / headings
		out[d] = make([]float64, n)
		for i, v := range row {
			out[d][i%n] += v / float64(headings)
		}
	}
	return out
}

// jointDraws gives draws[d][i], draw d of the success at orientation i, seen through a blur (rad).
func (f *fitted) jointDraws(n int, seed uint64, blur float64, at []orient.Rotation) ([][]float64, error) {
	if blur <= 0 {
		return f.m.Draws(n, seed, at)
	}
	b, err := f.m.Blur(blur)
	if err != nil {
		return nil, err
	}
	return b.Draws(n, seed, at)
}

func (m *MapsComparison) sentence(a, b string) string {
	share := func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }
	if m.ClearA == 0 && m.ClearB == 0 {
		return fmt.Sprintf("Nowhere up to a tilt of %.0f° is %s or %s clearly better.", m.TiltMax*180/math.Pi, a, b)
	}
	return fmt.Sprintf("%s is clearly better at %s of all orientations up to a tilt of %.0f°, %s at %s; at the rest it is not clear. Counting only what holds over all orientations at once: %s and %s.",
		a, share(m.ClearA), m.TiltMax*180/math.Pi, b, share(m.ClearB), share(m.SureA), share(m.SureB))
}
