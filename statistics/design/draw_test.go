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
				if radius > .010001 { // rounded to micrometres
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

const pinnedPlan = "d9dd771d373c91601d6c448a971dda0f6672e45ae2a235a842a0df081e0887eb"
