package agreement

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

// Table counts trials by what two judges said: Table[i][j] were called i by the first and j by the second.
type Table [][]float64

// Two is how far two judges agree.
type Two struct {
	N         float64
	Agreed    float64 // share judged alike
	Kappa     float64 // J. Cohen, Educ. Psychol. Meas. 20 (1960) 37; NaN where chance alone would agree always
	SE        float64 // of κ; J. L. Fleiss, J. Cohen, B. S. Everitt, Psychol. Bull. 72 (1969) 323 (from memory)
	Low, High float64 // of κ at the level, by the normal approximation, cut to −1 … 1
	Level     float64
	PABAK     float64 // κ if prevalence and bias were even: 2·agreed − 1 for two outcomes; T. Byrt, J. Bishop, J. B. Carlin 1993
	AC1       float64 // K. L. Gwet's coefficient, 2008 (formula from memory)
	Trap      bool    // agreement is high and κ low because one outcome is rare: κ alone would mislead
}

// Cohen compares two judges at the interval level.
func Cohen(t Table, level float64) (Two, error) {
	r := Two{Level: level}
	k := len(t)
	if k < 2 {
		return r, domain.Errorf(domain.KindInvalid, "a table of %d outcomes can not be judged; it needs two at least", k)
	}
	if !(level > 0 && level < 1) {
		return r, domain.Errorf(domain.KindInvalid, "the level is %g; it must lie between 0 and 1", level)
	}
	rows, columns := make([]float64, k), make([]float64, k)
	for i := range t {
		if len(t[i]) != k {
			return r, domain.Errorf(domain.KindInvalid, "row %d of the table has %d entries, not %d", i+1, len(t[i]), k)
		}
		for j, v := range t[i] {
			if !(v >= 0) || math.IsInf(v, 1) {
				return r, domain.Errorf(domain.KindInvalid, "the table counts %g trials in row %d, column %d", v, i+1, j+1)
			}
			r.N += v
			rows[i] += v
			columns[j] += v
		}
	}
	if r.N == 0 {
		return r, domain.Errorf(domain.KindInvalid, "no trial was judged by both")
	}
	chance, gwet := 0.0, 0.0
	for i := range t {
		rows[i] /= r.N
		columns[i] /= r.N
		r.Agreed += t[i][i] / r.N
		chance += rows[i] * columns[i]
		mean := (rows[i] + columns[i]) / 2
		gwet += mean * (1 - mean) / float64(k-1)
	}
	r.Kappa = (r.Agreed - chance) / (1 - chance)
	r.PABAK = (float64(k)*r.Agreed - 1) / float64(k-1)
	r.AC1 = (r.Agreed - gwet) / (1 - gwet)
	r.SE = math.Sqrt(kappaVariance(t, r.N, rows, columns, r.Agreed, chance))
	z := numeric.NormalQuantile((1 + level) / 2)
	r.Low, r.High = math.Max(-1, r.Kappa-z*r.SE), math.Min(1, r.Kappa+z*r.SE)
	r.Trap = r.Agreed >= 0.85 && !(r.Kappa >= 0.4)
	return r, nil
}

// kappaVariance is the large-sample variance of κ where κ is not zero.
func kappaVariance(t Table, n float64, rows, columns []float64, agreed, chance float64) float64 {
	kappa := (agreed - chance) / (1 - chance)
	sum := 0.0
	for i := range t {
		for j, v := range t[i] {
			p := v / n
			if i == j {
				d := 1 - (rows[i]+columns[i])*(1-kappa)
				sum += p * d * d
			} else {
				d := columns[i] + rows[j]
				sum += p * (1 - kappa) * (1 - kappa) * d * d
			}
		}
	}
	c := kappa - chance*(1-kappa)
	return math.Max(0, sum-c*c) / ((1 - chance) * (1 - chance) * n)
}

// Weighted is Cohen's κ with a cost for each kind of disagreement, zero on the diagonal (J. Cohen, Psychol. Bull. 70
// (1968) 213): 1 − Σ cost·seen / Σ cost·expected by chance.
func Weighted(t Table, cost [][]float64) (float64, error) {
	r, err := Cohen(t, 0.9)
	if err != nil {
		return 0, err
	}
	if len(cost) != len(t) {
		return 0, domain.Errorf(domain.KindInvalid, "there are costs for %d outcomes, not %d", len(cost), len(t))
	}
	rows, columns := make([]float64, len(t)), make([]float64, len(t))
	for i := range t {
		if len(cost[i]) != len(t) || cost[i][i] != 0 {
			return 0, domain.Errorf(domain.KindInvalid, "row %d of the costs must have %d entries and cost nothing on the diagonal", i+1, len(t))
		}
		for j, v := range t[i] {
			rows[i] += v / r.N
			columns[j] += v / r.N
		}
	}
	seen, expected := 0.0, 0.0
	for i := range t {
		for j, v := range t[i] {
			seen += cost[i][j] * v / r.N
			expected += cost[i][j] * rows[i] * columns[j]
		}
	}
	return 1 - seen/expected, nil
}

// Fleiss is κ for several judges, where each trial was judged equally often: counts[i][j] judges called trial i outcome j
// (J. L. Fleiss, Psychol. Bull. 76 (1971) 378).
func Fleiss(counts [][]int) (float64, error) {
	if len(counts) == 0 || len(counts[0]) < 2 {
		return 0, domain.Errorf(domain.KindInvalid, "there is no trial with two outcomes to judge")
	}
	judges := 0
	for _, n := range counts[0] {
		judges += n
	}
	share := make([]float64, len(counts[0]))
	agreed := 0.0
	for i, row := range counts {
		sum, squares := 0, 0
		for j, n := range row {
			sum += n
			squares += n * n
			share[j] += float64(n)
		}
		if sum != judges || len(row) != len(share) || judges < 2 {
			return 0, domain.Errorf(domain.KindInvalid, "trial %d was judged %d times, the first %d; Fleiss's κ needs equally many judgements, two at least", i+1, sum, judges)
		}
		agreed += float64(squares-judges) / float64(judges*(judges-1))
	}
	agreed /= float64(len(counts))
	chance := 0.0
	for _, s := range share {
		s /= float64(len(counts) * judges)
		chance += s * s
	}
	return (agreed - chance) / (1 - chance), nil
}
