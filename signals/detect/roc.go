package detect

import (
	"fmt"
	"math"
	"sort"

	"holdfast/numeric"
)

// ROCPoint is one threshold of a receiver operating characteristic: scores at or
// above it are called positive.
type ROCPoint struct{ Threshold, FalsePositive, TruePositive float64 }

// ROC returns the points from (0, 0) to (1, 1), one for each different score.
func ROC(positive, negative []float64) ([]ROCPoint, error) {
	if err := checkScores(positive, negative); err != nil {
		return nil, err
	}
	type scored struct {
		score    float64
		positive bool
	}
	all := make([]scored, 0, len(positive)+len(negative))
	for _, s := range positive {
		all = append(all, scored{s, true})
	}
	for _, s := range negative {
		all = append(all, scored{s, false})
	}
	sort.Slice(all, func(i, j int) bool { return all[i].score > all[j].score })
	out := []ROCPoint{{math.Inf(1), 0, 0}}
	hits, falses := 0, 0
	for i, s := range all {
		if s.positive {
			hits++
		} else {
			falses++
		}
		if i+1 == len(all) || all[i+1].score != s.score {
			out = append(out, ROCPoint{s.score, float64(falses) / float64(len(negative)), float64(hits) / float64(len(positive))})
		}
	}
	return out, nil
}

func checkScores(positive, negative []float64) error {
	if len(positive) == 0 || len(negative) == 0 {
		return fmt.Errorf("an area needs scores with and without contact; got %d and %d", len(positive), len(negative))
	}
	for _, v := range [][]float64{positive, negative} {
		for i, s := range v {
			if math.IsNaN(s) {
				return fmt.Errorf("score %d is not a number", i+1)
			}
		}
	}
	return nil
}

// Area is the area under a receiver operating characteristic: the chance that a
// score with contact exceeds one without, ties counting half.
type Area struct {
	AUC       float64
	SE        float64 // DeLong's standard error; 0 when every pair is in the same order, see Exact
	Low, High float64 // limits at the level asked
	Exact     bool    // whether the limits are the exact ones of disjoint pairs instead of DeLong's
}

// AUC computes the area and its limits on the logit scale from DeLong's variance
// (E. R. DeLong, D. M. DeLong and D. L. Clarke-Pearson, Biometrics 44, 1988). That
// variance is zero when all pairs are in order; then min(m, n) disjoint pairs are
// independent tries that all succeeded, and their exact limit stands in.
func AUC(positive, negative []float64, level float64) (Area, error) {
	if err := checkScores(positive, negative); err != nil {
		return Area{}, err
	}
	auc, p, n := placements(positive, negative)
	v := covariance(p, p)/float64(len(p)) + covariance(n, n)/float64(len(n))
	a := Area{AUC: auc, SE: math.Sqrt(v)}
	if !(v > 0) || auc == 0 || auc == 1 {
		a.Exact, a.Low, a.High = true, 0, 1
		edge := math.Pow((1-level)/2, 1/float64(min(len(positive), len(negative))))
		switch auc {
		case 1:
			a.Low = edge
		case 0:
			a.High = 1 - edge
		}
		return a, nil
	}
	z := numeric.NormalQuantile((1 + level) / 2)
	logit, half := math.Log(auc/(1-auc)), z*a.SE/(auc*(1-auc))
	a.Low, a.High = 1/(1+math.Exp(-logit+half)), 1/(1+math.Exp(-logit-half))
	return a, nil
}

// PairedAreas compares two scores of the same contacts.
type PairedAreas struct {
	AUC        [2]float64
	Covariance [2][2]float64
	Z, P       float64 // test of equal areas, two-sided; NaN when neither area varies
}

// ComparePaired compares the areas of two scores; entry i of each positive slice
// belongs to the same contact, and of each negative one to the same stretch
// without.
func ComparePaired(positive, negative [2][]float64) (PairedAreas, error) {
	var out PairedAreas
	var p, n [2][]float64
	if len(positive[0]) != len(positive[1]) || len(negative[0]) != len(negative[1]) {
		return out, fmt.Errorf("both scores need the same contacts: %d and %d with, %d and %d without", len(positive[0]), len(positive[1]), len(negative[0]), len(negative[1]))
	}
	for k := range 2 {
		if err := checkScores(positive[k], negative[k]); err != nil {
			return out, err
		}
		out.AUC[k], p[k], n[k] = placements(positive[k], negative[k])
	}
	for i := range 2 {
		for j := range 2 {
			out.Covariance[i][j] = covariance(p[i], p[j])/float64(len(p[0])) + covariance(n[i], n[j])/float64(len(n[0]))
		}
	}
	c := out.Covariance
	out.Z = (out.AUC[0] - out.AUC[1]) / math.Sqrt(c[0][0]+c[1][1]-c[0][1]-c[1][0])
	out.P = 2 * numeric.NormalSurvival(math.Abs(out.Z))
	return out, nil
}

// placements returns the area, and for each score the share of the other side that
// it beats.
func placements(positive, negative []float64) (auc float64, p, n []float64) {
	p, n = beats(positive, negative), beats(negative, positive)
	for i := range n {
		n[i] = 1 - n[i]
	}
	for _, v := range p {
		auc += v
	}
	return auc / float64(len(p)), p, n
}

func beats(of, over []float64) []float64 {
	sorted := append([]float64(nil), over...)
	sort.Float64s(sorted)
	out := make([]float64, len(of))
	for i, s := range of {
		below := sort.SearchFloat64s(sorted, s)
		upTo := below
		for upTo < len(sorted) && sorted[upTo] == s {
			upTo++
		}
		out[i] = (float64(below) + float64(upTo-below)/2) / float64(len(sorted))
	}
	return out
}

// covariance of two equally long samples; 0 for a single entry.
func covariance(a, b []float64) float64 {
	ma, mb, s := 0.0, 0.0, 0.0
	for i := range a {
		ma, mb = ma+a[i]/float64(len(a)), mb+b[i]/float64(len(b))
	}
	for i := range a {
		s += (a[i] - ma) * (b[i] - mb)
	}
	return s / math.Max(1, float64(len(a)-1))
}
