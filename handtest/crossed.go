package handtest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"

	"holdfast/numeric"
	"holdfast/readings"
)

// pooling is the p above which the interaction is put together with the repeats, after AIAG's Measurement Systems Analysis (from memory).
const pooling = 0.25

// draws is how often pivotal quantities are drawn for limits.
const draws = 4000

// twoWay holds the two-way analysis of variance of a specimens by b operators with n repeats.
type twoWay struct {
	a, b, n                            float64
	grand                              float64
	specimen, operator, inter, repeats meanSquare // value and degrees of freedom
	pooled                             bool
}

// crossed is the two-way analysis of variance with random specimens, operators and interaction (AIAG, Measurement Systems Analysis, 4th
// edition, 2010; in the words of ISO 5725). Limits are those of generalised inference: each mean square is its expectation times
// chi-square over its degrees of freedom, and the components follow from seeded draws of these (M. Hamada and S. Weerahandi,
// "Measurement system assessment via generalized inference", Journal of Quality Technology 32, 2000; from memory).
func crossed(t *readings.Table, set Settings, r *Report) error {
	w, err := r.analyse(t, set)
	if err != nil {
		return err
	}
	part, who, both, within := w.components(w.specimen.value, w.operator.value, w.inter.value, w.repeats.value)
	least := w.repeats.value / (w.a * w.b * w.n)
	// Var of the mean: (MSa + MSb − MSab)/(a·b·n), the last being that of the repeats where both are put together.
	square := func(m meanSquare, sign float64) meanSquare {
		return meanSquare{m.value, m.df, sign / (w.a * w.b * w.n)}
	}
	r.meanOver(set.Unit, w.grand, least, []meanSquare{square(w.specimen, 1), square(w.operator, 1), square(w.inter, -1)})

	// In the order of the columns of the draws below.
	figures := func(part, who, both, within float64) []float64 {
		gauge := within + who + both
		return []float64{math.Sqrt(within), math.Sqrt(who), math.Sqrt(both), math.Sqrt(gauge), math.Sqrt(part), math.Sqrt(part + gauge), math.Sqrt(gauge / (part + gauge)), math.Sqrt2 * math.Sqrt(part/gauge)}
	}
	limits := w.limits(r.Level, figures)
	value := figures(max(0, part), max(0, who), max(0, both), within)
	for k, v := range value {
		limits[k] = [2]float64{min(limits[k][0], v), max(limits[k][1], v)}
	}
	basis := fmt.Sprintf("%g specimens by %g operators, %g times each; limits from %d seeded draws of generalised pivotal quantities", w.a, w.b, w.n, draws)
	a := (1 - r.Level) / 2
	low := value[0] * math.Sqrt(w.repeats.df/numeric.ChiSquareQuantile(1-a, w.repeats.df))
	high := value[0] * math.Sqrt(w.repeats.df/numeric.ChiSquareQuantile(a, w.repeats.df))
	r.add("repeatability standard deviation", "", set.Unit, value[0], low, high, "readings of one specimen by one operator, chi-square limits")
	r.add("repeatability limit r", "", set.Unit, 2.8*value[0], 2.8*low, 2.8*high, "2.8 times (ISO 5725-2)")
	r.add("standard deviation between operators", "", set.Unit, value[1], limits[1][0], limits[1][1], basis)
	if !w.pooled {
		r.add("standard deviation of specimens with operators", "", set.Unit, value[2], limits[2][0], limits[2][1], basis)
	}
	r.add("reproducibility standard deviation", "", set.Unit, value[3], limits[3][0], limits[3][1], "repeats and operators together; "+basis)
	r.add("reproducibility limit R", "", set.Unit, 2.8*value[3], 2.8*limits[3][0], 2.8*limits[3][1], "2.8 times (ISO 5725-2)")
	r.add("standard deviation between specimens", "", set.Unit, value[4], limits[4][0], limits[4][1], basis)
	r.add("standard deviation of all", "", set.Unit, value[5], limits[5][0], limits[5][1], basis)
	if part+within+who > 0 && value[3] > 0 {
		r.add("share of measuring in the deviation of all", "", "", value[6], limits[6][0], limits[6][1], basis)
		r.add("distinct classes of specimens", "", "", value[7], limits[7][0], limits[7][1], "1.41 times the deviation between specimens over that of measuring; "+basis)
	}
	if part < 0 || who < 0 {
		r.note("A variance came out below 0 and is set to 0: specimens or operators differ by less than the scatter leads one to expect.")
	}
	return nil
}

// analyse sums the squares, adds the plot and the tests of the factors, and pools the interaction where it does not show.
func (r *Report) analyse(t *readings.Table, set Settings) (*twoWay, error) {
	cells, specimens, operators, n, err := cellsOf(t)
	if err != nil {
		return nil, err
	}
	w := &twoWay{a: float64(len(specimens)), b: float64(len(operators)), n: float64(n)}
	w.grand, _ = moments(t.Numbers["value"])
	rows, columns := make([]float64, len(specimens)), make([]float64, len(operators))
	means := map[[2]string]float64{}
	for j, o := range operators {
		s := Series{Name: o, X: "group", Y: "value (" + set.Unit + ")", Draw: Points}
		for i, g := range specimens {
			values := cells[[2]string{g, o}]
			m, _ := moments(values)
			means[[2]string{g, o}] = m
			rows[i], columns[j] = rows[i]+m/w.b, columns[j]+m/w.a
			for _, v := range values {
				w.repeats.value += (v - m) * (v - m)
				s.Points = append(s.Points, [2]float64{float64(i+1) + .5*((float64(j)+.5)/w.b-.5), v})
			}
		}
		r.Series = append(r.Series, s)
	}
	r.Labels = specimens
	for i, g := range specimens {
		w.specimen.value += w.b * w.n * (rows[i] - w.grand) * (rows[i] - w.grand)
		for j, o := range operators {
			d := means[[2]string{g, o}] - rows[i] - columns[j] + w.grand
			w.inter.value += w.n * d * d
		}
	}
	for j := range operators {
		w.operator.value += w.a * w.n * (columns[j] - w.grand) * (columns[j] - w.grand)
	}
	for _, m := range []struct {
		of *meanSquare
		df float64
	}{{&w.specimen, w.a - 1}, {&w.operator, w.b - 1}, {&w.inter, (w.a - 1) * (w.b - 1)}, {&w.repeats, w.a * w.b * (w.n - 1)}} {
		m.of.value, m.of.df = m.of.value/m.df, m.df
	}
	if !(w.repeats.value > 0) {
		return nil, fmt.Errorf("all repeats are alike to the last digit, so their scatter can not be told; read finer")
	}
	r.ratio("specimens with operators", w.inter, w.repeats)
	if p := numeric.FSurvival(w.inter.value/w.repeats.value, w.inter.df, w.repeats.df); p > pooling {
		df := w.inter.df + w.repeats.df
		w.repeats = meanSquare{value: (w.inter.value*w.inter.df + w.repeats.value*w.repeats.df) / df, df: df}
		w.inter, w.pooled = w.repeats, true
		r.note("Specimens and operators show no interaction (p %.3g, above %g): it is put together with the repeats (AIAG).", p, pooling)
	}
	r.ratio("specimens", w.specimen, w.inter)
	r.ratio("operators", w.operator, w.inter)
	return w, nil
}

func (r *Report) ratio(what string, over, under meanSquare) {
	if f := over.value / under.value; under.value > 0 {
		basis := fmt.Sprintf("two-way analysis of variance, %g and %g degrees of freedom", over.df, under.df)
		r.add("F of "+what, "", "", f, math.NaN(), math.NaN(), basis)
		r.add("p of no difference, "+what, "", "", numeric.FSurvival(f, over.df, under.df), math.NaN(), math.NaN(), basis)
	}
}

// cellsOf sorts the values by specimen and operator and checks that each pair was read equally often, twice or more.
func cellsOf(t *readings.Table) (cells map[[2]string][]float64, specimens, operators []string, n int, err error) {
	specimens, _ = t.Groups("group")
	operators, _ = t.Groups("operator")
	if len(specimens) < 2 || len(operators) < 2 {
		return nil, nil, nil, 0, fmt.Errorf("specimens by operators needs two of each; there are %d and %d. Leave the column operator out for one factor", len(specimens), len(operators))
	}
	cells = map[[2]string][]float64{}
	for i, v := range t.Numbers["value"] {
		at := [2]string{t.Texts["group"][i], t.Texts["operator"][i]}
		cells[at] = append(cells[at], v)
	}
	n = len(cells[[2]string{specimens[0], operators[0]}])
	for _, g := range specimens {
		for _, o := range operators {
			if k := len(cells[[2]string{g, o}]); k != n || k < 2 {
				return nil, nil, nil, 0, fmt.Errorf("group %s, operator %s: %d value(s); each operator must read each group equally often, twice or more (the first pair has %d). Complete the readings, or leave the column operator out", g, o, k, n)
			}
		}
	}
	return cells, specimens, operators, n, nil
}

// components returns the variances of specimens, operators, interaction and repeats; below 0 where a mean square is less than its scatter.
func (w *twoWay) components(specimen, operator, inter, repeats float64) (part, who, both, within float64) {
	if w.pooled {
		inter = repeats
	}
	return (specimen - inter) / (w.b * w.n), (operator - inter) / (w.a * w.n), (inter - repeats) / w.n, repeats
}

// limits draws the mean squares' expectations and returns the limits of each figure; components below 0 count as 0.
func (w *twoWay) limits(level float64, figures func(part, who, both, within float64) []float64) [][2]float64 {
	stream := numeric.Stream(1, "specimens by operators")
	var drawn [][]float64
	for range draws {
		of := func(m meanSquare) float64 { return m.value * m.df / chiSquare(stream, m.df) }
		part, who, both, within := w.components(of(w.specimen), of(w.operator), of(w.inter), of(w.repeats))
		for k, v := range figures(max(0, part), max(0, who), max(0, both), within) {
			if k == len(drawn) {
				drawn = append(drawn, nil)
			}
			drawn[k] = append(drawn[k], v)
		}
	}
	out := make([][2]float64, len(drawn))
	for k, v := range drawn {
		sort.Float64s(v)
		edge := int(math.Round((1 - level) / 2 * float64(draws-1)))
		out[k] = [2]float64{v[edge], v[draws-1-edge]}
	}
	return out
}

// chiSquare draws with df ≥ 1 degrees of freedom (G. Marsaglia and W. W. Tsang, "A simple method for generating gamma variables", ACM
// Transactions on Mathematical Software 26, 2000; from memory).
func chiSquare(r *rand.Rand, df float64) float64 {
	if df < 2 {
		z := r.NormFloat64()
		return z * z
	}
	d := df/2 - 1./3
	for {
		x := r.NormFloat64()
		v := 1 + x/math.Sqrt(9*d)
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(1-r.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return 2 * d * v
		}
	}
}
