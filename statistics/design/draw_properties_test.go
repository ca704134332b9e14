package design

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

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
