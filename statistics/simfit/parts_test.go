package simfit

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"holdfast/orient"
)

func TestBasisIsOrthonormalForNormalCoordinates(t *testing.T) {
	// Gauss–Hermite by brute force: an even grid is exact to rounding for polynomials times the normal density.
	b := newBasis(2)
	const step, half = 0.2, 60
	n := b.len()
	gram, phi := make([]float64, n*n), make([]float64, n)
	for i := -half; i <= half; i++ {
		for j := -half; j <= half; j++ {
			x, y := step*float64(i), step*float64(j)
			w := step * step * math.Exp(-(x*x+y*y)/2) / (2 * math.Pi)
			b.values(phi, []float64{x, y})
			for k := range phi {
				for l := range phi {
					gram[k*n+l] += w * phi[k] * phi[l]
				}
			}
		}
	}
	for k := range n {
		for l := range n {
			want := 0.0
			if k == l {
				want = 1
			}
			if math.Abs(gram[k*n+l]-want) > 1e-9 {
				t.Fatalf("functions %v and %v: %.12f", b.powers[k], b.powers[l], gram[k*n+l])
			}
		}
	}
	for d := 1; d <= mostParameters; d++ {
		b := newBasis(d)
		for i := 1; i < b.len(); i++ {
			if b.degree[i] < b.degree[i-1] {
				t.Errorf("%d parameters: degrees fall", d)
			}
		}
		if b.upTo(1) != d+1 {
			t.Errorf("%d parameters: %d functions up to degree 1", d, b.upTo(1))
		}
	}
}

func TestParameterPlacesAndPriors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Parameter{Name: "x", Min: rapid.Float64Range(0.1, 1).Draw(t, "min"), Log: rapid.Bool().Draw(t, "log")}
		p.Max = p.Min * rapid.Float64Range(1.5, 50).Draw(t, "ratio")
		if rapid.Bool().Draw(t, "normal") {
			p.Mean, p.SD = p.value(rapid.Float64Range(0, 1).Draw(t, "mean")), rapid.Float64Range(0.1, 2).Draw(t, "sd")
		}
		u := rapid.Float64Range(0, 1).Draw(t, "u")
		if got := p.place(p.value(u)); math.Abs(got-u) > 1e-9 {
			t.Fatalf("place of value is %g, put in %g", got, u)
		}
		// The density's integral up to the quantile of u is u of the whole.
		const n = 4000
		below, whole := 0.0, 0.0
		at := p.quantile(u)
		for i := range n {
			x := (float64(i) + 0.5) / n
			w := math.Exp(p.logPrior(x))
			whole += w
			below += w * math.Min(math.Max((at-x)*n+0.5, 0), 1)
		}
		if math.Abs(below/whole-u) > 1e-3 {
			t.Fatalf("%+v: %.5f of the prior lies below its quantile of %.5f", p, below/whole, u)
		}
	})
}

func TestWeightedQuantile(t *testing.T) {
	values, weights := []float64{3, 1, 2, 9}, []float64{1, 1, 2, 0}
	// Middles of the weights 1, 2 (values 1, 2, 3): at 0.5, 2, 3.5 of 4.
	for q, want := range map[float64]float64{0: 1, 0.125: 1, 0.5: 2, 0.875: 3, 1: 3, 0.3125: 1.5} {
		if got := weightedQuantile(values, weights, q); math.Abs(got-want) > 1e-12 {
			t.Errorf("quantile %g is %g, asked %g", q, got, want)
		}
	}
}

// Laplace's approximation of a count's chance under a normal log-odds, against fine quadrature.
func TestCountsUnderUncertainLogOdds(t *testing.T) {
	for _, c := range []struct {
		t           tally
		f, variance float64
		within      float64
	}{
		{tally{1, 1}, 1, 0, 1e-12}, {tally{0, 1}, 3, 0.1, 0.01}, {tally{1, 1}, -2, 0.3, 0.02}, {tally{7, 10}, 0.3, 0.2, 0.01},
		{tally{40, 40}, 3, 0.1, 0.02}, {tally{0, 0}, 2, 0.5, 0},
	} {
		got := logLikelihood([]tally{c.t}, []float64{c.f}, []float64{c.variance})
		sum, total := 0.0, 0.0
		for i := -4000; i <= 4000; i++ {
			z := float64(i) / 500
			w := math.Exp(-z * z / 2)
			f := c.f + z*math.Sqrt(c.variance)
			sum += w * math.Exp(c.t.held*f-c.t.trials*softplus(f))
			total += w
		}
		if want := math.Log(sum / total); math.Abs(got-want) > c.within {
			t.Errorf("%+v: %.6f, quadrature %.6f", c, got, want)
		}
	}
}

// What the discrepancy gains, against plain Monte Carlo over its coefficients.
func TestDiscrepancyGainsAgreeWithMonteCarlo(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	w := logisticWorld()
	conditions := w.conditions(60, rng)
	tallies, logOdds := make([]tally, 60), make([]float64, 60)
	for c := range conditions {
		logOdds[c] = rng.NormFloat64()
		tallies[c].trials = 1
		if rng.Float64() < expit(logOdds[c]+1.5*conditions[c].R.Direction()[0]) {
			tallies[c].held = 1
		}
	}
	d, err := newDiscrepancy(conditions, tallies, orient.Symmetry{Surroundings: orient.Surroundings{Axial: true}, HandMirror: true})
	if err != nil {
		t.Fatal(err)
	}
	got := make([]float64, len(d.sizes))
	d.gains(got, logOdds, tallies)
	for k, size := range d.sizes {
		const n = 40000
		coef := make([]float64, len(d.share))
		logs := make([]float64, n)
		for i := range logs {
			penalty := 0.0
			for j := range coef {
				z := rng.NormFloat64()
				coef[j] = size * math.Sqrt(d.share[j]) * z
				penalty += z * z / 2
			}
			if size == 0 {
				continue
			}
			logs[i] = d.height(coef, size*size, logOdds, tallies) + penalty
		}
		top := largestOf(logs)
		sum := 0.0
		for _, l := range logs {
			sum += math.Exp(l-top) / n
		}
		// Two Newton steps may stop short of the mode, by far less than what makes a discrepancy believable (about 3).
		if want := top + math.Log(sum); got[k]-want > 0.05 || got[k]-want < -0.25 {
			t.Errorf("size %g: gain %.3f, Monte Carlo %.3f", size, got[k], want)
		}
	}
}

// The surrogate's shared and own coefficients must be the mode of the plain objective: no step uphill is left.
func TestSurrogateIsAtItsMode(t *testing.T) {
	w := thresholdWorld()
	p := w.problem([]float64{0.7, 300, 0.003}, 30, nil, 2)
	f := &fitting{problem: &p, budget: 4000, workers: 2, tallies: make([]tally, 30)}
	for c := range f.tallies {
		f.tallies[c].trials = 1
	}
	at := priorFrame(p.Parameters)
	runs, err := f.simulate(t.Context(), at, 0)
	if err != nil {
		t.Fatal(err)
	}
	z, err := newFeatures(p.Conditions, p.Symmetry)
	if err != nil {
		t.Fatal(err)
	}
	s := newSurrogate(at, newBasis(3), z, runs)
	if err := s.fit(t.Context(), 4, 2); err != nil {
		t.Fatal(err)
	}
	own := make([][]float64, len(s.cells))
	for c := range own {
		own[c] = s.cells[c].own
	}
	best := s.height(s.shared, own, 1)
	rng := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		shared := append([]float64(nil), s.shared...)
		moved := append([][]float64(nil), own...)
		i, c := rng.IntN(len(shared)), rng.IntN(len(own))
		shared[i] += 0.02 * rng.NormFloat64()
		moved[c] = append([]float64(nil), own[c]...)
		moved[c][rng.IntN(len(own[c]))] += 0.02 * rng.NormFloat64()
		if h := s.height(shared, moved, 1); h > best+1e-4 {
			t.Fatalf("a step from the mode climbs by %.3g", h-best)
		}
	}
	// The mode that draws are made around, coefficient by coefficient.
	mode := s.draws(0, 1, 0, 1)[0]
	for c := range s.cells {
		n := s.basis.len()
		want := make([]float64, n)
		s.combine(want, c, s.shared, s.cells[c].own)
		for i, v := range want {
			if math.Abs(v-mode[c*n+i]) > 1e-2 {
				t.Fatalf("condition %d: coefficient %d is %.5f by solving, %.5f by climbing", c, i, mode[c*n+i], v)
			}
		}
	}
	if v := s.ownSpread(0, mode[:s.basis.len()], make([]float64, s.ownLen)); !(v > 0) {
		t.Errorf("spread %g", v)
	}
}

func TestBandsCountEveryTrialOnce(t *testing.T) {
	w := logisticWorld()
	theta := []float64{0.7, 300, 0.003}
	p := w.problem(theta, 300, nil, 11)
	f := &fitting{problem: &p, tallies: make([]tally, len(p.Conditions))}
	success := make([]float64, len(p.Conditions))
	for i, tr := range p.Trials {
		f.tallies[i].trials = 1
		if tr.Held {
			f.tallies[i].held = 1
		}
		success[i] = w.chance(theta, p.Conditions[i].R)
	}
	post := &posterior{success: [][]float64{success}}
	tilts, azimuths := post.bands(&p, f.tallies, 3)
	trials, expected, outside := 0.0, 0.0, 0
	for i, b := range tilts {
		trials += b.Trials
		expected += b.Expected
		if i > 0 && b.From < tilts[i-1].To-1e-12 || !(b.Low <= b.Expected && b.Expected <= b.High) || b.Held > b.Trials {
			t.Errorf("band %+v", b)
		}
		if b.Held < b.Low || b.Held > b.High {
			outside++
		}
	}
	want := 0.0
	for _, s := range success {
		want += s
	}
	// Six bands at 90 %: three outside would happen to one right simulation in a hundred.
	if trials != 300 || math.Abs(expected-want) > 1e-9 || len(tilts) != 6 || outside > 2 {
		t.Errorf("%d bands with %g trials, %g expected of %g, %d outside", len(tilts), trials, expected, want, outside)
	}
	leaning := 0.0
	for _, b := range azimuths {
		leaning += b.Trials
	}
	if len(azimuths) != 8 || leaning != 300-tilts[0].Trials {
		t.Errorf("%d bands of azimuth with %g trials, %g lean", len(azimuths), leaning, 300-tilts[0].Trials)
	}
	p.Symmetry.Surroundings.Axial = true
	if _, none := post.bands(&p, f.tallies, 3); len(none) != 0 {
		t.Errorf("azimuth has no meaning, yet %d bands", len(none))
	}
}
