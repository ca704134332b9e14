package design

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
)

func names(prefix string, n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("%s-%d", prefix, i+1)
	}
	return out
}

func bakery() Spec {
	spec := Spec{
		Hands: names("hand", 2), Items: []string{"roll", "eclair"}, Settings: []string{"tray"}, Strategies: []string{"free", "surface"},
		ClosingLevels: []float64{.4, .7, 1}, Offset: Offset{Kind: OffsetGaussian, Sigma: [2]float64{.004, .006}},
		Replicates: 2, BlockSize: 20, Slow: []Factor{FactorHand, FactorItem},
		Reference:  Reference{Rotation: orient.Identity, Strategy: "free", Closing: .7},
		References: 1, Seed: 42, TrialSeconds: 90, ChangeSeconds: 600,
	}
	for i := range 8 {
		spec.Orientations = append(spec.Orientations, orient.RotZ(float64(i)*math.Pi/8))
	}
	return spec
}

func drawSpec(t *rapid.T) Spec {
	size := func(label string, most int) int { return rapid.IntRange(1, most).Draw(t, label) }
	spec := Spec{
		Hands: names("hand", size("hands", 3)), Items: names("item", size("items", 3)), Settings: names("setting", size("settings", 2)),
		Strategies: names("strategy", size("strategies", 4)),
		Offset:     Offset{Kind: rapid.SampledFrom([]OffsetKind{OffsetNone, OffsetGaussian, OffsetDisc}).Draw(t, "offset"), Sigma: [2]float64{.004, .002}, Radius: .01},
		Replicates: size("replicates", 3), BlockSize: size("block size", 30),
		References: rapid.IntRange(0, 2).Draw(t, "references"), Seed: rapid.Uint64().Draw(t, "seed"),
	}
	for i := range size("orientations", 12) {
		spec.Orientations = append(spec.Orientations, orient.RotZ(float64(i)/5))
	}
	for i := range size("closings", 4) {
		spec.ClosingLevels = append(spec.ClosingLevels, float64(i)/4)
	}
	for _, f := range []Factor{FactorHand, FactorItem, FactorSetting} {
		if rapid.Bool().Draw(t, "slow "+string(f)) {
			spec.Slow = append(spec.Slow, f)
		}
	}
	spec.Reference = Reference{Rotation: orient.RotX(1), Strategy: spec.Strategies[0], Closing: .5}
	return spec
}

func plan(t interface{ Fatal(...any) }, spec Spec) []Run {
	runs, err := Draw(spec)
	if err != nil {
		t.Fatal(err)
	}
	return runs
}

func spread(counts map[int]int, blocks []int) int {
	low, high := math.MaxInt, 0
	for _, b := range blocks {
		low, high = min(low, counts[b]), max(high, counts[b])
	}
	return high - low
}

func TestPlanKeepsItsPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := drawSpec(t)
		runs := plan(t, spec)

		type key struct {
			hand, item, setting, strategy string
			cell                          int
			closing                       float64
		}
		times := map[key][]int{} // replicate numbers, in the plan's order
		lastReplicate := 1
		for i, r := range runs {
			if r.Order != i+1 {
				t.Fatalf("run %d has order %d", i+1, r.Order)
			}
			if i > 0 && (r.Block < runs[i-1].Block || r.Block > runs[i-1].Block+1 || r.WholePlot < runs[i-1].WholePlot) {
				t.Fatalf("run %d jumps from block %d to %d", i+1, runs[i-1].Block, r.Block)
			}
			if i > 0 && r.Block == runs[i-1].Block && r.WholePlot != runs[i-1].WholePlot {
				t.Fatalf("block %d mixes whole plots", r.Block)
			}
			if r.Reference {
				if r.Cell != -1 || r.Replicate != 0 || r.Offset != [3]float64{} || r.Rotation != spec.Reference.Rotation ||
					r.Strategy != spec.Reference.Strategy || r.Closing != spec.Reference.Closing {
					t.Fatalf("reference run is %+v", r)
				}
				continue
			}
			if r.Replicate < lastReplicate {
				t.Fatalf("run %d goes back to replicate %d", i+1, r.Replicate)
			}
			lastReplicate = r.Replicate
			if r.Rotation != spec.Orientations[r.Cell] {
				t.Fatalf("run %d: rotation is not that of cell %d", i+1, r.Cell)
			}
			k := key{r.Hand, r.Item, r.Setting, r.Strategy, r.Cell, r.Closing}
			times[k] = append(times[k], r.Replicate)
		}
		conditions := len(spec.Hands) * len(spec.Items) * len(spec.Settings) * len(spec.Strategies) * len(spec.Orientations) * len(spec.ClosingLevels)
		if len(times) != conditions {
			t.Fatalf("%d of %d conditions are tried", len(times), conditions)
		}
		for k, replicates := range times {
			for i, r := range replicates {
				if r != i+1 {
					t.Fatalf("%+v has replicates %v", k, replicates)
				}
			}
			if len(replicates) != spec.Replicates {
				t.Fatalf("%+v is tried %d times, want %d", k, len(replicates), spec.Replicates)
			}
		}
		checkBlocks(t, spec, runs)
		if float64(len(runs)) != spec.countRuns() {
			t.Fatalf("%d runs, %g were announced", len(runs), spec.countRuns())
		}
	})
}

// checkBlocks looks at references, sizes and balance of the blocks that share a
// whole plot and a replicate.
func checkBlocks(t *rapid.T, spec Spec, runs []Run) {
	byBlock := map[int][]Run{}
	for _, r := range runs {
		byBlock[r.Block] = append(byBlock[r.Block], r)
	}
	type part struct{ wholePlot, replicate int }
	parts := map[part][]int{}
	size := map[int]int{}
	strategy, pair := map[string]map[int]int{}, map[string]map[int]int{}
	count := func(of map[string]map[int]int, level string, block int) {
		if of[level] == nil {
			of[level] = map[int]int{}
		}
		of[level][block]++
	}
	for b := 1; b <= len(byBlock); b++ {
		block := byBlock[b]
		n := len(block)
		for i, r := range block {
			atEnd := i < spec.References || i >= n-spec.References
			if r.Reference != atEnd {
				t.Fatalf("block %d: run %d of %d, reference %v", b, i+1, n, r.Reference)
			}
			for _, f := range []struct {
				factor    Factor
				got, want string
			}{{FactorHand, r.Hand, block[0].Hand}, {FactorItem, r.Item, block[0].Item}, {FactorSetting, r.Setting, block[0].Setting}} {
				if slices.Contains(spec.Slow, f.factor) && f.got != f.want {
					t.Fatalf("block %d changes the slow %s", b, f.factor)
				}
			}
			if !r.Reference {
				size[b]++
				count(strategy, r.Strategy, b)
				count(pair, fmt.Sprint(r.Strategy, r.Closing), b)
			}
		}
		if size[b] < 1 || size[b] > spec.BlockSize {
			t.Fatalf("block %d has %d runs, block size %d", b, size[b], spec.BlockSize)
		}
		p := part{block[0].WholePlot, block[spec.References].Replicate}
		parts[p] = append(parts[p], b)
	}
	for p, blocks := range parts {
		if d := spread(size, blocks); d > 1 {
			t.Fatalf("%+v: block sizes differ by %d", p, d)
		}
		for _, of := range []map[string]map[int]int{strategy, pair} {
			for level, counts := range of {
				if d := spread(counts, blocks); d > 1 {
					t.Fatalf("%+v: %s differs by %d between blocks", p, level, d)
				}
			}
		}
	}
}

func TestClosingLevelsAreEvenedOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := drawSpec(t)
		spec.Slow, spec.Replicates = []Factor{FactorHand, FactorItem, FactorSetting}, 1
		spec.Hands, spec.Items, spec.Settings = names("hand", 1), names("item", 1), names("setting", 1)
		counts := map[float64]map[int]int{}
		blocks := map[int]bool{}
		for _, r := range plan(t, spec) {
			blocks[r.Block] = true
			if r.Reference {
				continue
			}
			if counts[r.Closing] == nil {
				counts[r.Closing] = map[int]int{}
			}
			counts[r.Closing][r.Block]++
		}
		list := []int{}
		for b := range blocks {
			list = append(list, b)
		}
		for level, c := range counts {
			if d := spread(c, list); d > 2 {
				t.Fatalf("closing level %g differs by %d between blocks", level, d)
			}
		}
	})
}

func TestSeedDecidesThePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := drawSpec(t)
		runs := plan(t, spec)
		if !slices.Equal(runs, plan(t, spec)) {
			t.Fatal("the same seed gives different plans")
		}
		if err := Verify(spec, runs); err != nil {
			t.Fatal(err)
		}
	})
	one, other := bakery(), bakery()
	other.Seed++
	if Digest(plan(t, one)) == Digest(plan(t, other)) {
		t.Error("different seeds give the same plan")
	}
	if got := Digest(plan(t, one)); got != pinnedPlan {
		// Stored plans are checked against their seed: this must never change.
		t.Errorf("the plan of a fixed spec has digest %s", got)
	}
}

func TestVerifyFindsTampering(t *testing.T) {
	spec := bakery()
	runs := plan(t, spec)
	changed := slices.Clone(runs)
	changed[6].Closing = .5
	for what, c := range map[string]struct {
		runs []Run
		want string
	}{"changed": {changed, "run 7"}, "cut": {runs[:10], "10 runs"}} {
		err := Verify(spec, c.runs)
		if domain.KindOf(err) != domain.KindConflict || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if Digest(changed) == Digest(runs) {
		t.Error("a changed plan keeps its digest")
	}
}

func TestOrderIsRandom(t *testing.T) {
	// Over many seeds each condition of a block should stand in each place equally often.
	spec := bakery()
	spec.Hands, spec.Items, spec.Slow, spec.References = names("hand", 1), names("item", 1), nil, 0
	spec.Strategies, spec.ClosingLevels, spec.Orientations = spec.Strategies[:1], spec.ClosingLevels[:1], spec.Orientations[:6]
	spec.Replicates, spec.BlockSize, spec.Reference.Strategy = 1, 3, "free"
	const seeds = 3000
	var counts [6][6]float64
	for seed := range seeds {
		spec.Seed = uint64(seed)
		for place, r := range plan(t, spec) {
			counts[r.Cell][place]++
		}
	}
	chi := 0.0
	for _, row := range counts {
		for _, c := range row {
			chi += (c - seeds/6.) * (c - seeds/6.) / (seeds / 6.)
		}
	}
	if tail := numeric.ChiSquareSurvival(chi, 25); tail < 1e-4 {
		t.Errorf("places are not equally likely: chi-square %.1f, tail %g", chi, tail)
	}
}

func TestOffsetsAreEvenPerWholePlot(t *testing.T) {
	for _, kind := range []OffsetKind{OffsetGaussian, OffsetDisc} {
		spec := bakery()
		spec.Offset = Offset{Kind: kind, Sigma: [2]float64{.004, .006}, Radius: .01}
		perPlot := map[int][][2]float64{}
		for _, r := range plan(t, spec) {
			if r.Reference {
				continue
			}
			var u [2]float64 // back to the unit square
			if kind == OffsetGaussian {
				u = [2]float64{numeric.NormalCDF(r.Offset[0] / .004), numeric.NormalCDF(r.Offset[1] / .006)}
			} else {
				radius := math.Hypot(r.Offset[0], r.Offset[1])
				if radius > .01 {
					t.Fatalf("offset %v leaves the disc", r.Offset)
				}
				angle := math.Atan2(r.Offset[1], r.Offset[0]) / (2 * math.Pi)
				u = [2]float64{math.Min(1, radius*radius/1e-4), angle - math.Floor(angle)}
			}
			if r.Offset[2] != 0 {
				t.Fatalf("offset %v leaves the support", r.Offset)
			}
			perPlot[r.WholePlot] = append(perPlot[r.WholePlot], u)
		}
		if len(perPlot) != 8 {
			t.Fatalf("%d whole plots", len(perPlot))
		}
		first := perPlot[1][0]
		for p, points := range perPlot {
			d, err := numeric.StarDiscrepancy(points)
			if err != nil {
				t.Fatal(err)
			}
			// 48 random points have a star discrepancy of about 0.17.
			if d > 0.1 {
				t.Errorf("%s, whole plot %d: star discrepancy %.3f of %d offsets", kind, p, d, len(points))
			}
			if p > 1 && points[0] == first {
				t.Errorf("%s: whole plots 1 and %d share their offsets", kind, p)
			}
		}
	}
}

func TestOneSetUpIsOneWholePlot(t *testing.T) {
	spec := bakery()
	spec.Hands, spec.Items = spec.Hands[:1], spec.Items[:1]
	for _, r := range plan(t, spec) {
		if r.WholePlot != 1 {
			t.Fatalf("run %d is in whole plot %d", r.Order, r.WholePlot)
		}
	}
}

func TestLargePlanIsQuickAndBalanced(t *testing.T) {
	spec := bakery()
	spec.Hands, spec.Items, spec.References = spec.Hands[:1], spec.Items[:1], 0
	spec.Orientations = nil
	for i := range 5000 {
		spec.Orientations = append(spec.Orientations, orient.RotZ(float64(i)))
	}
	spec.Replicates, spec.BlockSize = 6, 24
	runs := plan(t, spec)
	if len(runs) != 180_000 {
		t.Fatalf("%d runs", len(runs))
	}
	perBlock := map[int]int{}
	for _, r := range runs {
		if r.Strategy == "free" {
			perBlock[r.Block]++
		}
	}
	for b, n := range perBlock {
		if n < 11 || n > 13 {
			t.Fatalf("block %d has %d runs of one strategy", b, n)
		}
	}
}

func TestSpecRefusals(t *testing.T) {
	for field, spoil := range map[string]func(s *Spec){
		"hands":              func(s *Spec) { s.Hands = nil },
		"items[1]":           func(s *Spec) { s.Items[1] = s.Items[0] },
		"settings[0]":        func(s *Spec) { s.Settings[0] = "" },
		"strategies":         func(s *Spec) { s.Strategies = []string{} },
		"orientations":       func(s *Spec) { s.Orientations = nil },
		"orientations[2]":    func(s *Spec) { s.Orientations[2] = orient.Rotation{} },
		"closing_levels":     func(s *Spec) { s.ClosingLevels = nil },
		"closing_levels[1]":  func(s *Spec) { s.ClosingLevels[1] = 1.2 },
		"closing_levels[2]":  func(s *Spec) { s.ClosingLevels[2] = s.ClosingLevels[0] },
		"offset.kind":        func(s *Spec) { s.Offset.Kind = "square" },
		"offset.sigma_y_mm":  func(s *Spec) { s.Offset.Sigma[1] = -1 },
		"offset.radius_mm":   func(s *Spec) { s.Offset = Offset{Kind: OffsetDisc, Radius: math.NaN()} },
		"replicates":         func(s *Spec) { s.Replicates = 0 },
		"block_size":         func(s *Spec) { s.BlockSize = 0 },
		"references":         func(s *Spec) { s.References = -1 },
		"slow[1]":            func(s *Spec) { s.Slow[1] = "strategy" },
		"slow[2]":            func(s *Spec) { s.Slow = append(s.Slow, FactorHand) },
		"reference.strategy": func(s *Spec) { s.Reference.Strategy = "scoop" },
		"reference.closing":  func(s *Spec) { s.Reference.Closing = 2 },
		"trial_s":            func(s *Spec) { s.TrialSeconds = -1 },
		"change_s":           func(s *Spec) { s.ChangeSeconds = math.Inf(1) },
	} {
		spec := bakery()
		spoil(&spec)
		_, err := Draw(spec)
		if domain.KindOf(err) != domain.KindInvalid || !strings.Contains(fmt.Sprint(err), field+": ") {
			t.Errorf("%s: %v", field, err)
		}
	}
	huge := bakery()
	huge.Hands, huge.Items, huge.Settings = names("h", 300), names("i", 300), names("s", 300)
	if _, err := Draw(huge); err == nil || !strings.Contains(err.Error(), "at most 200000") {
		t.Errorf("a huge plan: %v", err)
	}
	none := bakery()
	none.References, none.Reference = 0, Reference{}
	if _, err := Draw(none); err != nil {
		t.Errorf("without reference runs the reference condition must not matter: %v", err)
	}
}

const pinnedPlan = "b43d47dca7cded81f53084d4399e25de68df30c1f4b7c0a81e698fe00c947e9f"
