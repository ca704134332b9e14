package propose

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

const deg = math.Pi / 180

var twoFold = orient.Symmetry{HandFold: 2}

// bump is a two-fold hand's success with one peak.
type bump struct {
	centre    orient.Rotation
	low, high float64
	width     float64 // rad
}

func (b bump) at(r orient.Rotation) float64 {
	a := twoFold.Distance(r, b.centre) / b.width
	return b.low + (b.high-b.low)*math.Exp(-a*a/2)
}

// bench makes a problem with one arm a truth, candidates spread over tilts up to 60°.
func bench(t *testing.T, truths ...bump) (Problem, func(p *Problem, trials []Trial)) {
	t.Helper()
	cover, err := orient.Cover(100, 60*deg, twoFold, 1)
	if err != nil {
		t.Fatal(err)
	}
	p := Problem{Question: Best, Blur: 5 * deg, Target: 0.7, Batch: 12, FirstCover: 24, Seed: 5}
	for i := range truths {
		p.Arms = append(p.Arms, Arm{Name: []string{"free", "scoop", "edge"}[i], Candidates: cover.Points, Spacing: cover.CoveringRadius, Symmetry: twoFold})
	}
	rng := rand.New(rand.NewPCG(11, 12))
	return p, func(p *Problem, trials []Trial) {
		for _, tr := range trials {
			o := successmap.Observation{R: tr.Rotation, Trials: 1}
			if rng.Float64() < truths[tr.Arm].at(tr.Rotation) {
				o.Held = 1
			}
			p.Arms[tr.Arm].Observations = append(p.Arms[tr.Arm].Observations, o)
		}
	}
}

func next(t *testing.T, p Problem) Proposal {
	t.Helper()
	out, err := Next(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Trials) != p.Batch {
		t.Fatalf("%d trials proposed, asked %d", len(out.Trials), p.Batch)
	}
	for _, tr := range out.Trials {
		if tr.Rotation != p.Arms[tr.Arm].Candidates[tr.Candidate] || !strings.HasSuffix(tr.Why, ".") || strings.Contains(tr.Why, "NaN") {
			t.Fatalf("trial %+v", tr)
		}
	}
	return out
}

func TestFirstCoverIsEven(t *testing.T) {
	p, try := bench(t, bump{orient.Identity, 0.1, 0.9, 0.5})
	first := next(t, p)
	if first.Known || !strings.Contains(first.Text, "no trials of free") {
		t.Errorf("state %+v without trials", first.State)
	}
	try(&p, first.Trials)
	try(&p, next(t, p).Trials)
	var points []orient.Rotation
	for _, o := range p.Arms[0].Observations {
		points = append(points, o.R)
	}
	got, err := orient.Measure(points, 60*deg, p.Arms[0].Symmetry, 1)
	if err != nil {
		t.Fatal(err)
	}
	best, err := orient.Cover(len(points), 60*deg, p.Arms[0].Symmetry, 1)
	if err != nil {
		t.Fatal(err)
	}
	// Gonzalez' bound, and the candidates themselves are a spacing away from what they stand for.
	if limit := 2*best.CoveringRadius + p.Arms[0].Spacing; got.CoveringRadius > limit {
		t.Errorf("the first cover leaves %.1f°, at most %.1f° is promised", got.CoveringRadius/deg, limit/deg)
	}
	if after := next(t, p); after.Trials[0].Cover || !after.Known {
		t.Errorf("24 trials are the whole cover, but %+v follows", after.Trials[0])
	}
}

func TestCoverWalksAroundWhatWasTried(t *testing.T) {
	p, _ := bench(t, bump{})
	p.Arms[0].Observations = []successmap.Observation{{R: orient.RotY(30 * deg), Held: 3, Trials: 4}}
	for _, tr := range next(t, p).Trials {
		if a := p.Arms[0].Symmetry.Distance(tr.Rotation, orient.RotY(30*deg)); a < 40*deg {
			t.Errorf("a trial lies %.0f° from what was tried four times", a/deg)
		}
	}
}

func TestBestFindsThePeakAndSaysWhenToStop(t *testing.T) {
	peak := bump{orient.FromApproach(orient.Approach{Tilt: 35 * deg, Azimuth: 1, Roll: 0.5}), 0.05, 0.95, 0.6}
	p, try := bench(t, peak)
	p.Tolerance = 0.06
	var out Proposal
	for range 25 {
		out = next(t, p)
		if out.Enough {
			break
		}
		try(&p, out.Trials)
	}
	if !out.Enough || !strings.Contains(out.Text, "you could stop here; the decision is yours") {
		t.Fatalf("not settled after 300 trials: %s", out.Text)
	}
	c := out.Choices[0]
	if a := p.Arms[0].Symmetry.Distance(p.Arms[0].Candidates[c.Candidate], peak.centre); a > 25*deg {
		t.Errorf("chosen %.0f° from the peak: %s", a/deg, out.Text)
	}
	if !(out.Loss.Low <= out.Loss.Expected && out.Loss.Expected <= out.Loss.High && out.Loss.High < 0.06) {
		t.Errorf("loss %+v", out.Loss)
	}
	// Trials after the cover gather near the peak, though every fourth looks into a gap.
	nearby, even := 0.0, 0.0
	for _, o := range p.Arms[0].Observations[24:] {
		if p.Arms[0].Symmetry.Distance(o.R, peak.centre) < 45*deg {
			nearby += 1 / float64(len(p.Arms[0].Observations)-24)
		}
	}
	for _, c := range p.Arms[0].Candidates {
		if p.Arms[0].Symmetry.Distance(c, peak.centre) < 45*deg {
			even += 1 / float64(len(p.Arms[0].Candidates))
		}
	}
	if nearby < 1.5*even {
		t.Errorf("%.0f %% of the placed trials lie near the peak, of even ones %.0f %% would", 100*nearby, 100*even)
	}
}

func TestRankLeavesTheClearLoserAlone(t *testing.T) {
	peak := orient.RotY(20 * deg)
	p, try := bench(t, bump{peak, 0.1, 0.9, 0.7}, bump{peak, 0.1, 0.85, 0.7}, bump{peak, 0.02, 0.15, 0.7})
	p.Question = Rank
	for range 12 {
		try(&p, next(t, p).Trials)
	}
	out := next(t, p)
	if o := out.Choices[0].Order; o[2] != 2 {
		t.Errorf("order %v: %s", o, out.Text)
	}
	if !strings.Contains(out.Text, "As a yardstick") {
		t.Errorf("no yardstick: %s", out.Text)
	}
	n := [3]int{}
	for a := range p.Arms {
		n[a] = len(p.Arms[a].Observations) - 24
	}
	if n[2] > n[0]/2 || n[2] > n[1]/2 {
		t.Errorf("trials after the covers: %v", n)
	}
}

func TestBorderIsDrawnBetterThanByEvenTrials(t *testing.T) {
	truth := bump{orient.Identity, 0.02, 0.98, 1.2}
	off, uniform, placed, even := 0.0, 0.0, 0.0, 0.0
	const seeds = 4
	for seed := range uint64(seeds) {
		p, try := bench(t, truth)
		p.Question, p.Seed = Border, seed
		e, tryEven := bench(t, truth)
		e.Question, e.Seed, e.FirstCover, e.Batch = Border, seed, 144, 144
		tryEven(&e, next(t, e).Trials)
		for range 12 {
			out := next(t, p)
			for _, tr := range out.Trials {
				if !tr.Cover {
					off += math.Abs(truth.at(tr.Rotation)-p.Target) / (120 * seeds)
				}
			}
			try(&p, out.Trials)
		}
		placed += wrongSide(t, p, truth) / seeds
		even += wrongSide(t, e, truth) / seeds
		for _, c := range p.Arms[0].Candidates {
			uniform += math.Abs(truth.at(c)-p.Target) / float64(seeds*len(p.Arms[0].Candidates))
		}
	}
	if off > 0.85*uniform {
		t.Errorf("placed trials are %.3f from the target on average, even ones %.3f", off, uniform)
	}
	if placed > even {
		t.Errorf("truly on the wrong side after placed trials: %.3f; after as many even ones: %.3f", placed, even)
	}
}

// wrongSide is the share of candidates on the wrong side of the border that would be drawn now.
func wrongSide(t *testing.T, problem Problem, truth bump) (share float64) {
	t.Helper()
	p, bs, err := prepare(context.Background(), problem)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range bs[0].blurred {
		inside := shareOf(func(d int) bool { return row[d] >= p.Target }) >= 0.5
		if inside != (truth.at(p.Arms[0].Candidates[i]) >= p.Target) {
			share += 1 / float64(len(bs[0].blurred))
		}
	}
	return share
}

func TestMeasureStaysWithTheRegion(t *testing.T) {
	p, try := bench(t, bump{orient.Identity, 0.2, 0.8, 0.8})
	p.Question = Measure
	for i, c := range p.Arms[0].Candidates {
		if p.Arms[0].Symmetry.Distance(c, orient.RotY(30*deg)) < 25*deg {
			p.Region = append(p.Region, i)
		}
	}
	try(&p, next(t, p).Trials)
	try(&p, next(t, p).Trials)
	out := next(t, p)
	for _, tr := range out.Trials {
		if a := p.Arms[0].Symmetry.Distance(tr.Rotation, orient.RotY(30*deg)); a > 45*deg {
			t.Errorf("a trial lies %.0f° from the region's middle", a/deg)
		}
	}
	if !strings.Contains(out.Text, "expected to be off by") {
		t.Error(out.Text)
	}
}

func TestSetUpChangesOnlyWhenItPays(t *testing.T) {
	peak := orient.RotY(20 * deg)
	p, try := bench(t, bump{peak, 0.1, 0.9, 0.7}, bump{peak, 0.1, 0.8, 0.7})
	p.Question = Rank
	p.Arms[0].Setup, p.Arms[1].Setup, p.Setup = "hand A", "hand B", "hand B"
	first := next(t, p)
	if first.Setup != "hand B" {
		t.Fatalf("the first cover begins with %s, set up is hand B", first.Setup)
	}
	for range 4 {
		out := next(t, p)
		p.Setup = out.Setup
		for _, tr := range out.Trials {
			if p.Arms[tr.Arm].Setup != out.Setup {
				t.Fatalf("a batch mixes set-ups")
			}
		}
		try(&p, out.Trials)
	}
	// Arm A is now much better known than arm B, so trials of B tell more.
	for range 150 {
		try(&p, []Trial{{Arm: 0, Rotation: peak}})
	}
	p.Setup, p.TrialSeconds, p.ChangeSeconds = "hand A", 30, 0
	if out := next(t, p); out.Setup != "hand B" || !strings.Contains(out.Why, "change of set-up pays") {
		t.Errorf("a free change is not made: %s, %q", out.Setup, out.Why)
	}
	p.ChangeSeconds = 1e6
	if out := next(t, p); out.Setup != "hand A" || !strings.Contains(out.Why, "Staying") {
		t.Errorf("a change that takes eleven days is made: %s, %q", out.Setup, out.Why)
	}
}

func TestGroupsAreSettledApart(t *testing.T) {
	p, try := bench(t, bump{orient.Identity, 0.1, 0.9, 0.7}, bump{orient.Identity, 0.1, 0.4, 0.7})
	p.Arms[0].Group, p.Arms[1].Group = "roll", "egg"
	for range 5 {
		try(&p, next(t, p).Trials)
	}
	out := next(t, p)
	if len(out.Choices) != 2 || out.Choices[0].Arm != 0 || out.Choices[1].Arm != 1 || !strings.Contains(out.Text, "For egg:") {
		t.Errorf("choices %+v: %s", out.Choices, out.Text)
	}
}

func TestSameProposalOnAnyNumberOfWorkers(t *testing.T) {
	p, try := bench(t, bump{orient.Identity, 0.1, 0.9, 0.7}, bump{orient.RotY(0.5), 0.1, 0.8, 0.7})
	for range 5 {
		try(&p, next(t, p).Trials)
	}
	for _, q := range Questions() {
		p.Question = q
		var want Proposal
		for _, workers := range []int{1, 2, 3} {
			p.Workers = workers
			got := next(t, p)
			if workers == 1 {
				want = got
			} else if !reflect.DeepEqual(got, want) {
				t.Errorf("%s: %d workers propose other trials than one", q, workers)
			}
		}
	}
}

func TestAllAlikeAndTopTwo(t *testing.T) {
	p, _ := bench(t, bump{})
	for _, c := range p.Arms[0].Candidates[:30] {
		p.Arms[0].Observations = append(p.Arms[0].Observations, successmap.Observation{R: c, Trials: 1})
	}
	if out := next(t, p); !out.Known || out.Enough {
		t.Errorf("30 failures settle nothing: %s", out.Text)
	}
	for _, r := range []Rule{ByDraw, TopTwo} {
		p.Rule = r
		next(t, p)
	}
}

func TestNextRefuses(t *testing.T) {
	good, _ := bench(t, bump{}, bump{})
	for name, c := range map[string]struct {
		change func(p *Problem)
		says   string
	}{
		"question":     {func(p *Problem) { p.Question = "fastest" }, `"fastest" is not known`},
		"no arm":       {func(p *Problem) { p.Arms = nil }, "nothing to try"},
		"no candidate": {func(p *Problem) { p.Arms[1].Candidates = nil }, "arm 2 (scoop) has no candidate"},
		"spacing":      {func(p *Problem) { p.Arms[0].Spacing = 0 }, "must be positive"},
		"batch":        {func(p *Problem) { p.Batch = MaxBatch + 1 }, "1 to 200"},
		"cover":        {func(p *Problem) { p.FirstCover = -1 }, "first cover"},
		"blur":         {func(p *Problem) { p.Blur = math.NaN() }, "error of orientation"},
		"target":       {func(p *Problem) { p.Question, p.Target = Border, 0 }, "a border needs one inside"},
		"tolerance":    {func(p *Problem) { p.Tolerance = -1 }, "tolerance"},
		"rank one":     {func(p *Problem) { p.Question = Rank; p.Arms = p.Arms[:1] }, "two strategies"},
		"region":       {func(p *Problem) { p.Region = []int{999} }, "candidate 999"},
		"region's arm": {func(p *Problem) { p.Region, p.Measured = []int{0}, 7 }, "arm 8 of 2"},
		"trial time":   {func(p *Problem) { p.TrialSeconds = -1 }, "-1 s"},
		"change time":  {func(p *Problem) { p.ChangeSeconds = math.Inf(1) }, "+Inf s"},
		"bad trial":    {func(p *Problem) { p.Arms[0].Observations = []successmap.Observation{{Trials: 1}} }, "observation 1"},
	} {
		p := good
		p.Arms = append([]Arm(nil), good.Arms...)
		c.change(&p)
		_, err := Next(context.Background(), p)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v", name, err)
		}
		if name != "bad trial" && domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%s: kind of %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	good.Arms[0].Observations = []successmap.Observation{{R: orient.Identity, Trials: 1}}
	if _, err := Next(ctx, good); err != context.Canceled {
		t.Errorf("cancelled: %v", err)
	}
}

func TestPendingTrialsCountAsPlanned(t *testing.T) {
	p, try := bench(t, bump{orient.Identity, 0.1, 0.9, 0.7})
	first := next(t, p)
	for _, tr := range first.Trials {
		p.Arms[0].Pending = append(p.Arms[0].Pending, tr.Rotation)
	}
	for _, tr := range next(t, p).Trials {
		for _, r := range p.Arms[0].Pending {
			if twoFold.Distance(tr.Rotation, r) < 1e-9 {
				t.Fatal("a planned trial is proposed again")
			}
		}
		p.Arms[0].Pending = append(p.Arms[0].Pending, tr.Rotation)
	}
	out, err := Next(context.Background(), p)
	if err != nil || len(out.Trials) != 0 || !strings.Contains(out.Why, "come first") {
		t.Errorf("%+v, %v: with the cover planned and nothing made, nothing can be placed", out, err)
	}
	p.Arms[0].Pending = nil
	for range 3 {
		try(&p, next(t, p).Trials)
	}
	alone := next(t, p)
	for _, tr := range alone.Trials {
		p.Arms[0].Pending = append(p.Arms[0].Pending, tr.Rotation)
	}
	if more := next(t, p); reflect.DeepEqual(more.Trials, alone.Trials) {
		t.Error("the same batch is proposed a second time while the first waits")
	}
}

func TestARobotThatAsksForOneLooksIntoGapsToo(t *testing.T) {
	p, try := bench(t, bump{orient.Identity, 0.1, 0.9, 0.7})
	p.FirstCover = 12
	try(&p, next(t, p).Trials)
	p.Batch = 1
	gaps := 0
	for range 8 {
		out := next(t, p)
		if out.Trials[0].Cover {
			gaps++
			if !strings.Contains(out.Trials[0].Why, "widest gap") {
				t.Error(out.Trials[0].Why)
			}
		}
		try(&p, out.Trials)
	}
	if gaps != 2 {
		t.Errorf("%d of 8 single trials close a gap, want every fourth", gaps)
	}
}
