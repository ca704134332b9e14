package tolerance

import (
	"context"
	"math"
	"reflect"
	"testing"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// sure is a model that knows its function exactly: every draw is the same.
type sure func(Pose) float64

func (f sure) LogOdds(_ context.Context, n int, _ uint64, poses []Pose) ([][]float64, error) {
	row := make([]float64, len(poses))
	for i, p := range poses {
		row[i] = f(p)
	}
	draws := make([][]float64, n)
	for d := range draws {
		draws[d] = row
	}
	return draws, nil
}

// unsure adds to every draw a normal constant.
type unsure struct {
	f  sure
	sd float64
}

func (u unsure) LogOdds(ctx context.Context, n int, seed uint64, poses []Pose) ([][]float64, error) {
	draws, err := u.f.LogOdds(ctx, n, seed, poses)
	rng := numeric.Stream(seed, "unsure")
	for d := range draws {
		shift := u.sd * rng.NormFloat64()
		row := make([]float64, len(poses))
		for i, v := range draws[d] {
			row[i] = v + shift
		}
		draws[d] = row
	}
	return draws, err
}

func logit(p float64) float64 { return math.Log(p / (1 - p)) }
func expit(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// everywhere vouches for all poses within far metres.
func everywhere(far float64) *Tried {
	poses := []Pose{{orient.Identity, far, far}, {orient.Identity, -far, far}, {orient.Identity, -far, -far}, {orient.Identity, far, -far}}
	t := NewTried(poses, orient.Symmetry{})
	t.reach = math.Pi
	return t
}

func measure(t *testing.T, m Model, q Question) *Surface {
	t.Helper()
	if q.Nominal == nil {
		q.Nominal = []orient.Rotation{orient.Identity}
	}
	if q.Tried == nil {
		q.Tried = everywhere(1)
	}
	if q.Target == 0 {
		q.Target = 0.5
	}
	if q.Draws == 0 {
		q.Draws = 20
	}
	s, err := Measure(t.Context(), m, q)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %g", what, got, want, tolerance)
	}
}

func TestGaussianPeakUnderGaussianErrorIsClosed(t *testing.T) {
	const top, width = 0.95, 0.006
	peak := sure(func(p Pose) float64 {
		return logit(top * math.Exp(-(p.X*p.X+p.Y*p.Y)/(2*width*width)))
	})
	stated := Errors{Position: [2][2]float64{{9e-6, 4e-6}, {4e-6, 16e-6}}}
	s := measure(t, peak, Question{Stated: stated, MaxPosition: 0.012})
	for _, position := range []float64{0, 0.0002, 0.0006, 0.001, 0.002, 0.004, 0.008, 0.012} {
		// E exp(−½ zᵀz/w²) for z ~ N(0, C) is det(1 + C/w²)^−½.
		v := position * position / (stated.Spread() * stated.Spread()) / (width * width)
		c := stated.Position
		det := (1+v*c[0][0])*(1+v*c[1][1]) - v*v*c[0][1]*c[0][1]
		near(t, "peak", s.At(position, 0).P, top/math.Sqrt(det), 2e-5)
	}
}

func TestTurnsDampLikeTheHeatKernel(t *testing.T) {
	r0 := orient.FromApproach(orient.Approach{Tilt: 0.7, Azimuth: 0.4, Roll: 1.1})
	u, v := orient.Vec3{0.6, 0, 0.8}, orient.Vec3{0, 0.8, -0.6}
	for degree, of := range map[int]func(c float64) float64{
		1: func(c float64) float64 { return c },
		2: func(c float64) float64 { return (3*c*c - 1) / 2 },
		4: func(c float64) float64 { return (35*c*c*c*c - 30*c*c + 3) / 8 },
	} {
		f := sure(func(p Pose) float64 { return logit(0.5 + 0.4*of(u.Dot(p.R.Apply(v)))) })
		s := measure(t, f, Question{Nominal: []orient.Rotation{r0}, MaxAngle: MostAngle})
		plain := of(u.Dot(r0.Apply(v)))
		for _, deg := range []float64{0, 1, 2, 3, 5, 8, 15, 30, 60} {
			time, err := successmap.HeatTime(deg * math.Pi / 180)
			if err != nil {
				t.Fatal(err)
			}
			// An eigenfunction of degree l is damped by e^{−l(l+1)t}.
			want := 0.5 + 0.4*plain*math.Exp(-float64(degree*(degree+1))*time)
			near(t, "damping", s.At(0, deg*math.Pi/180).P, want, 6e-5)
		}
	}
}

// bump is additive, with a peak in both.
func bump(p Pose) float64 {
	g := -1 + 5*math.Exp(6*(math.Cos(p.R.AngleTo(orient.Identity))-1))
	return g - 3*(p.X*p.X+2*p.Y*p.Y)/(0.008*0.008)
}

func TestBothErrorsAgainstPlainSampling(t *testing.T) {
	s := measure(t, sure(bump), Question{Stated: Isotropic(0.003, 0), MaxPosition: 0.01, MaxAngle: 0.6})
	for _, e := range [][2]float64{{0.003, 0.1}, {0.006, 0.3}, {0.0008, 0.05}} {
		time, err := successmap.HeatTime(e[1])
		if err != nil {
			t.Fatal(err)
		}
		// 100,000 plain draws: the heat kernel as a walk of eight small turns.
		rng := numeric.Stream(3, "plain sampling")
		const draws, steps = 100000, 8
		sum, squares := 0.0, 0.0
		for range draws {
			r := orient.Identity
			sd := math.Sqrt(2 * time / steps)
			for range steps {
				axis := orient.Vec3{sd * rng.NormFloat64(), sd * rng.NormFloat64(), sd * rng.NormFloat64()}
				r = orient.AboutAxis(axis, axis.Norm()).Mul(r)
			}
			p := expit(bump(Pose{r, e[0] * rng.NormFloat64(), e[0] * rng.NormFloat64()}))
			sum += p
			squares += p * p
		}
		mean := sum / draws
		se := math.Sqrt((squares/draws - mean*mean) / draws)
		near(t, "both", s.At(e[0], e[1]).P, mean, 4*se+2e-4)
	}
}

func TestNoErrorGivesThePlainSuccess(t *testing.T) {
	region := []orient.Rotation{orient.Identity, orient.RotZ(0.3), orient.RotY(0.2)}
	s := measure(t, sure(bump), Question{Nominal: region, X: 0.001, Y: -0.002, MaxPosition: 0.01})
	want := 0.0
	for _, r := range region {
		want += expit(bump(Pose{r, 0.001, -0.002})) / 3
	}
	near(t, "plain", s.At(0, 0).P, want, 2e-6)
}

func TestAnyTurnOfTheSceneGivesTheSame(t *testing.T) {
	for seed := range uint64(8) {
		turn := orient.Random(numeric.Stream(seed, "turn"))
		there := sure(func(p Pose) float64 { p.R = turn.Inverse().Mul(p.R); return bump(p) })
		q := Question{Nominal: []orient.Rotation{orient.Identity}, Tried: everywhere(1), Target: 0.5, Draws: 20, MaxPosition: 0.003, MaxAngle: 0.7}
		var seen [2]float64
		for i, m := range []Model{sure(bump), there} {
			s, err := Measure(context.Background(), m, q)
			if err != nil {
				t.Fatal(err)
			}
			seen[i] = s.At(0.002, 0.3).P
			q.Nominal = []orient.Rotation{turn}
		}
		if math.Abs(seen[0]-seen[1]) > 1e-4 {
			t.Errorf("seed %d: success %.8f becomes %.8f when the scene is turned", seed, seen[0], seen[1])
		}
	}
}

func TestSuccessFallsWithEitherErrorAtAPeak(t *testing.T) {
	s := measure(t, sure(bump), Question{MaxPosition: 0.02, MaxAngle: 1})
	grid := s.Grid(9, 9)
	for j := range 9 {
		for i := range 9 {
			v := grid[j*9+i]
			if i > 0 && v.P > grid[j*9+i-1].P+1e-9 {
				t.Errorf("success rises with the position error at %g m, %g rad", v.Position, v.Angle)
			}
			if j > 0 && v.P > grid[(j-1)*9+i].P+1e-9 {
				t.Errorf("success rises with the orientation error at %g m, %g rad", v.Position, v.Angle)
			}
		}
	}
}

func TestFrontierStandsWhereSuccessMeetsTheTarget(t *testing.T) {
	const top, width = 0.97, 0.01
	peak := sure(func(p Pose) float64 { return logit(top * math.Exp(-(p.X*p.X+p.Y*p.Y)/(2*width*width))) })
	s := measure(t, peak, Question{Target: 0.9, MaxPosition: 0.01, Stated: Isotropic(0.001, 0)})
	// top/(1 + σ²/w²) = target.
	want := width * math.Sqrt(top/0.9-1)
	l := s.LargestPosition(0)
	near(t, "largest position error", l.Largest, want, 2e-6)
	if l.Reason != ByTarget {
		t.Errorf("it ends by %q", l.Reason)
	}
	near(t, "largest multiple", s.LargestScale().Largest, want/0.001, 2e-3)

	// A normal constant of standard deviation 0.5 costs 1.645·0.5 of log-odds at 95 %.
	const sd = 0.5
	shifted := measure(t, unsure{peak, sd}, Question{Target: 0.9, MaxPosition: 0.01, Draws: 2000})
	v := shifted.At(0, 0)
	near(t, "quantile", v.sureAll, expit(logit(top)-1.645*sd), 0.004)
	if v.Reaches < 0.985 || v.Reaches > 0.998 {
		// Φ((logit 0.97 − logit 0.9)/0.5) = Φ(2.558) = 0.9947.
		t.Errorf("the target is reached with probability %g, want 0.9947", v.Reaches)
	}
	if l := shifted.LargestPosition(0); !(l.Largest < want) {
		t.Errorf("uncertainty widened the tolerance: %g against %g", l.Largest, want)
	}
}

func TestNothingIsClaimedBeyondTheTrials(t *testing.T) {
	always := sure(func(Pose) float64 { return 6 })
	var poses []Pose
	rng := numeric.Stream(1, "tried")
	for range 300 {
		poses = append(poses, Pose{orient.AboutAxis(orient.Vec3{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}, 0.3*rng.Float64()), 0.004 * (2*rng.Float64() - 1), 0.004 * (2*rng.Float64() - 1)})
	}
	tried := NewTried(poses, orient.Symmetry{})
	s := measure(t, always, Question{Tried: tried, Target: 0.9, MaxPosition: 0.02, MaxAngle: 1})
	l := s.LargestPosition(0)
	// A square of half side 4 mm holds (2Φ(4/σ)−1)² of the error; 0.9/expit(6) of it is met at σ = 2.0 mm.
	if l.Reason != ByTrials || l.Largest < 0.0017 || l.Largest > 0.0022 {
		t.Errorf("the position error ends at %.4f m by %q, want about 0.002 m by trials", l.Largest, l.Reason)
	}
	a := s.LargestAngle(0)
	if a.Reason != ByTrials || a.Largest > 0.4 {
		t.Errorf("the orientation error ends at %.3f rad by %q, want under 0.4 rad by trials", a.Largest, a.Reason)
	}
	for _, p := range s.Frontier(9) {
		if p.Reason == ByTarget {
			t.Errorf("the frontier at %.3f rad ends by the target of a hand that never fails", p.Angle)
		}
	}

	unmoved := NewTried([]Pose{{orient.Identity, 0, 0}, {orient.RotZ(0.1), 0, 0}}, orient.Symmetry{})
	s = measure(t, always, Question{Tried: unmoved, Target: 0.9})
	if l := s.LargestPosition(0); l.Largest > 1e-4 || l.Reason != ByTrials {
		t.Errorf("without any offset tried, %.5f m are claimed by %q", l.Largest, l.Reason)
	}
}

func TestTargetOutOfReachSaysSo(t *testing.T) {
	s := measure(t, sure(func(Pose) float64 { return 0 }), Question{Target: 0.9, Stated: Isotropic(0.003, 0.1)})
	for _, l := range []Limit{s.LargestPosition(0), s.LargestAngle(0), s.LargestScale()} {
		if l.Largest != 0 || l.Reason != AtNone {
			t.Errorf("success of one half tolerates %v of a target of 0.9", l)
		}
	}
	if f := s.Frontier(5); len(f) != 0 {
		t.Errorf("there is a frontier: %v", f)
	}
}

func TestWorkersDoNotMatter(t *testing.T) {
	q := Question{Stated: Isotropic(0.003, 0.1), MaxPosition: 0.01, Draws: 60, Seed: 4, Workers: 1}
	one := measure(t, unsure{bump, 0.4}, q)
	q.Workers = 7
	many := measure(t, unsure{bump, 0.4}, q)
	if !reflect.DeepEqual(one.Grid(6, 6), many.Grid(6, 6)) {
		t.Error("the number of workers changes the answer")
	}
}

func TestFinerNodesChangeNothing(t *testing.T) {
	// The nodes see a peak of half width 8 mm and 24° to within 1e-4 of four times as many draws of the direction:
	// turning the pattern of axes about the nominal orientation must not show.
	for _, e := range [][2]float64{{0.002, 0.1}, {0.005, 0.35}, {0.01, 0.6}} {
		var values []float64
		for _, roll := range []float64{0, 0.21, 0.47} {
			turned := sure(func(p Pose) float64 {
				p.R = orient.RotX(roll).Mul(p.R).Mul(orient.RotX(-roll))
				sin, cos := math.Sincos(roll)
				p.X, p.Y = cos*p.X-sin*p.Y, sin*p.X+cos*p.Y
				skew := orient.RotY(0.25)
				return -1 + 5*math.Exp(6*(math.Cos(p.R.AngleTo(skew))-1)) - 3*(p.X*p.X+2*(p.Y-0.002)*(p.Y-0.002))/(0.008*0.008)
			})
			values = append(values, measure(t, turned, Question{MaxPosition: 0.01, MaxAngle: 0.6}).At(e[0], e[1]).P)
		}
		for _, v := range values[1:] {
			near(t, "turned nodes", v, values[0], 1e-4)
		}
	}
}

func TestBadQuestionsAreRefused(t *testing.T) {
	good := func() Question {
		return Question{Nominal: []orient.Rotation{orient.Identity}, Tried: everywhere(1), Target: 0.9, Draws: 20}
	}
	for name, spoil := range map[string]func(*Question){
		"no nominal":       func(q *Question) { q.Nominal = nil },
		"nothing tried":    func(q *Question) { q.Tried = nil },
		"target 1":         func(q *Question) { q.Target = 1 },
		"target NaN":       func(q *Question) { q.Target = math.NaN() },
		"confidence":       func(q *Question) { q.Sure = 1 },
		"few draws":        func(q *Question) { q.Draws = 3 },
		"not a covariance": func(q *Question) { q.Stated.Position = [2][2]float64{{1e-6, 2e-6}, {2e-6, 1e-6}} },
		"negative angle":   func(q *Question) { q.Stated.Angle = -0.1 },
		"infinite error":   func(q *Question) { q.MaxPosition = math.Inf(1) },
	} {
		q := good()
		spoil(&q)
		if _, err := Measure(t.Context(), sure(bump), q); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := Measure(t.Context(), sure(func(Pose) float64 { return math.NaN() }), good()); err == nil {
		t.Error("log-odds that are not numbers: no error")
	}
}

func BenchmarkFrontier(b *testing.B) {
	q := Question{Nominal: []orient.Rotation{orient.Identity}, Tried: everywhere(0.02), Target: 0.7, Stated: Isotropic(0.003, 0.1)}
	for b.Loop() {
		s, err := Measure(b.Context(), unsure{bump, 0.4}, q)
		if err != nil {
			b.Fatal(err)
		}
		s.Grid(25, 25)
		s.Frontier(25)
	}
}
