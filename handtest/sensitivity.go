package handtest

import (
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
	"holdfast/readings"
)

// touch fits the chance of telling a touch over the logarithm of its force, by a logistic law with D. Firth's correction (Biometrika 80,
// 1993; from memory), which stays finite when all weak touches are missed and all strong ones told. Thresholds have Fieller's limits.
func touch(t *readings.Table, _ Settings, r *Report) error {
	var x []float64
	var told []bool
	falsely, empty := 0, 0
	counts := map[float64][2]float64{}
	for i, f := range t.Numbers["force_N"] {
		yes := t.Texts["told"][i] == "yes"
		if f == 0 {
			if empty++; yes {
				falsely++
			}
			continue
		}
		x, told = append(x, math.Log(f)), append(told, yes)
		c := counts[f]
		if c[1]++; yes {
			c[0]++
		}
		counts[f] = c
	}
	if len(counts) < 2 {
		return fmt.Errorf("sensitivity needs touches of two forces or more; there are %d", len(counts))
	}
	a, b, cov, ok := firth(x, told)
	if !ok || !(b > 0) {
		return fmt.Errorf("stronger touches are not told more often in this record, so it has no threshold; take forces further apart")
	}
	z := numeric.NormalQuantile((1 + r.Level) / 2)
	for _, p := range []float64{.5, .9} {
		target := math.Log(p / (1 - p))
		at := (target - a) / b
		low, high := fieller(a, b, cov, target, z)
		r.add(fmt.Sprintf("force told %g %% of the time", 100*p), "", "N", math.Exp(at), math.Exp(low), math.Exp(high), fmt.Sprintf("logistic in log force, %d touches, Fieller's limits", len(x)))
	}
	if empty > 0 {
		n, k := float64(empty), float64(falsely)
		low, high := 0.0, 1.0
		if falsely > 0 {
			low = numeric.BetaQuantile(k, n-k+1, (1-r.Level)/2)
		}
		if falsely < empty {
			high = numeric.BetaUpperQuantile(k+1, n-k, (1-r.Level)/2)
		}
		r.add("told with no touch", "", "", k/n, low, high, fmt.Sprintf("%d of %d, exact limits", falsely, empty))
	} else {
		r.note("No rows with force 0: how often a touch is told where none was is not known.")
	}
	s := Series{Name: "share told", X: "force_N", Y: "share", Draw: Points}
	law := Series{Name: "fitted law", X: "force_N", Y: "share"}
	weakest, strongest := slices.Min(x), slices.Max(x)
	for k := range 41 {
		u := weakest + (strongest-weakest)*float64(k)/40
		law.Points = append(law.Points, [2]float64{math.Exp(u), 1 / (1 + math.Exp(-a-b*u))})
	}
	for i, f := range t.Numbers["force_N"] {
		if c, there := counts[f]; there && f > 0 {
			s.Points = append(s.Points, [2]float64{t.Numbers["force_N"][i], c[0] / c[1]})
			delete(counts, f)
		}
	}
	r.Series = append(r.Series, s, law)
	return nil
}

// firth fits logit p = a + b·x with penalised likelihood, by Newton's steps on the modified score; covariance is the inverse information.
func firth(x []float64, yes []bool) (a, b float64, cov [3]float64, ok bool) {
	for range 200 {
		var i00, i01, i11 float64
		p := make([]float64, len(x))
		for i, v := range x {
			p[i] = 1 / (1 + math.Exp(-a-b*v))
			w := p[i] * (1 - p[i])
			i00, i01, i11 = i00+w, i01+w*v, i11+w*v*v
		}
		det := i00*i11 - i01*i01
		if !(det > 1e-12*i00*i11) {
			return 0, 0, cov, false
		}
		cov = [3]float64{i11 / det, -i01 / det, i00 / det}
		var u0, u1 float64
		for i, v := range x {
			h := p[i] * (1 - p[i]) * (cov[0] + 2*cov[1]*v + cov[2]*v*v)
			s := h*(0.5-p[i]) - p[i]
			if yes[i] {
				s++
			}
			u0, u1 = u0+s, u1+s*v
		}
		da, db := cov[0]*u0+cov[1]*u1, cov[1]*u0+cov[2]*u1
		if size := math.Max(math.Abs(da), math.Abs(db)); size > 2 {
			da, db = 2*da/size, 2*db/size
		}
		a, b = a+da, b+db
		if math.Abs(da)+math.Abs(db) < 1e-11*(1+math.Abs(a)+math.Abs(b)) {
			return a, b, cov, true
		}
	}
	return 0, 0, cov, false
}

// fieller returns the x for which a + b·x may equal target: (a + bx − target)² ≤ z²·Var. Infinite where the slope is not clear.
func fieller(a, b float64, cov [3]float64, target, z float64) (low, high float64) {
	qa := b*b - z*z*cov[2]
	qb := (a-target)*b - z*z*cov[1]
	qc := (a-target)*(a-target) - z*z*cov[0]
	if qa <= 0 {
		return math.Inf(-1), math.Inf(1)
	}
	half := math.Sqrt(max(0, qb*qb-qa*qc))
	return (-qb - half) / qa, (-qb + half) / qa
}
