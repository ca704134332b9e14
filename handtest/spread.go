package handtest

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/readings"
)

// repeatability is the one-way analysis of variance of ISO 5725-2:1994, with unequal group sizes, and its limits r and R.
func repeatability(t *readings.Table, set Settings, r *Report) error {
	if t.Has("operator") {
		return crossed(t, set, r)
	}
	order, rows := t.Groups("group")
	p, n := float64(len(order)), float64(t.Rows)
	if len(order) < 2 || t.Rows <= len(order) {
		return fmt.Errorf("repeatability needs two groups or more and one group read twice; there are %d groups in %d rows", len(order), t.Rows)
	}
	grand, _ := moments(t.Numbers["value"])
	within, between, sizes := 0.0, 0.0, 0.0
	for _, g := range order {
		values := pick(t.Numbers["value"], rows[g])
		m, _ := moments(values)
		for _, v := range values {
			within += (v - m) * (v - m)
		}
		k := float64(len(values))
		between += k * (m - grand) * (m - grand)
		sizes += k * k
		s := Series{Name: g, X: "group", Y: "value (" + set.Unit + ")", Draw: Points}
		for _, v := range values {
			s.Points = append(s.Points, [2]float64{float64(len(r.Series) + 1), v})
		}
		r.Series = append(r.Series, s)
	}
	if len(order) <= 12 {
		r.Labels = order
	}
	msw, msb := within/(n-p), between/(p-1)
	size := (n - sizes/n) / (p - 1)
	sr2 := msw
	sl2 := (msb - msw) / size
	if sl2 < 0 {
		r.note("The groups' means differ by less than their scatter leads one to expect; the variance between groups is set to 0.")
		sl2 = 0
	}
	sr, sR := math.Sqrt(sr2), math.Sqrt(sr2+sl2)
	a := (1 - r.Level) / 2
	low, high := sr*math.Sqrt((n-p)/numeric.ChiSquareQuantile(1-a, n-p)), sr*math.Sqrt((n-p)/numeric.ChiSquareQuantile(a, n-p))
	// The variance of the mean, sL²·Σn²/N² + sr²/N, in the two mean squares; of equal groups it is MSB/N.
	c := sizes / (n * n) / size
	r.meanOver(set.Unit, grand, msw/n, []meanSquare{{msb, p - 1, c}, {msw, n - p, 1/n - c}})
	r.add("repeatability standard deviation", "", set.Unit, sr, low, high, fmt.Sprintf("within %d groups, chi-square limits", len(order)))
	r.add("repeatability limit r", "", set.Unit, 2.8*sr, 2.8*low, 2.8*high, "2.8 times (ISO 5725-2)")
	// Satterthwaite's degrees of freedom for the sum of the two mean squares.
	total := sr2 + sl2
	df := total * total / (math.Pow(msb/size, 2)/(p-1) + math.Pow(msw*(1-1/size), 2)/(n-p))
	if sl2 == 0 || total == 0 {
		df = n - p
	}
	low, high = sR*math.Sqrt(df/numeric.ChiSquareQuantile(1-a, df)), sR*math.Sqrt(df/numeric.ChiSquareQuantile(a, df))
	r.add("reproducibility standard deviation", "", set.Unit, sR, low, high, "limits after Satterthwaite, approximate")
	r.add("reproducibility limit R", "", set.Unit, 2.8*sR, 2.8*low, 2.8*high, "2.8 times (ISO 5725-2)")
	if msw > 0 {
		f := msb / msw
		r.add("F of the groups", "", "", f, math.NaN(), math.NaN(), fmt.Sprintf("%d and %d degrees of freedom", len(order)-1, t.Rows-len(order)))
		r.add("p of equal groups", "", "", numeric.FSurvival(f, p-1, n-p), math.NaN(), math.NaN(), "one-way analysis of variance")
	}
	return nil
}

// meanSquare is a mean square with its degrees of freedom and its weight in a variance.
type meanSquare struct{ value, df, weight float64 }

// meanOver adds the mean of readings that hang together in groups. Its variance is a weighted sum of mean squares, at least that of
// readings which do not; degrees of freedom after F. E. Satterthwaite ("An approximate distribution of estimates of variance components",
// Biometrics Bulletin 2, 1946; from memory), exact where one mean square stands alone.
func (r *Report) meanOver(unit string, mean, least float64, squares []meanSquare) {
	variance, of := 0.0, 0.0
	for _, s := range squares {
		v := s.weight * s.value
		variance, of = variance+v, of+v*v/s.df
	}
	df := squares[0].df
	if of > 0 && variance > least {
		df = max(1, variance*variance/of)
	}
	half := numeric.StudentQuantile((1+r.Level)/2, df) * math.Sqrt(max(variance, least))
	r.add("mean", "", unit, mean, mean-half, mean+half, "mean of all readings; groups differ by chance, Student's t with Satterthwaite's degrees of freedom")
}
