package design

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/domain"
)

// FactorTotal counts what one level of a factor gets, reference runs left out.
type FactorTotal struct {
	Factor     string // hand, item, setting, strategy or closing
	Level      string
	Runs       int
	WholePlots int // whole plots in which the level occurs: the independent set-ups of a slow factor
}

// Effort is the time that a plan takes at the bench.
type Effort struct {
	Runs       int
	References int
	Changes    int     // hands, items and settings changed between runs, and set-ups built anew
	Seconds    float64 // s
}

// Hours returns the effort in hours.
func (e Effort) Hours() float64 { return e.Seconds / 3600 }

// Summary is a plan at a glance.
type Summary struct {
	Effort
	Seed       uint64
	Digest     string // SHA-256 of the runs in hexadecimal: the same plan has the same digest
	Blocks     int
	WholePlots int
	SetUps     int // different combinations of the slow factors
	LargestRun int // runs of the largest block, reference runs included
	Slow       []Factor
	Totals     []FactorTotal
	Notes      []string // what an analysis and a careful reader need to know, a sentence each
}

// BenchEffort returns the time for runs at the spec's seconds per run and per
// change. It counts one change for every hand, item or setting that differs from
// the run before, and as many as there are slow factors with a choice when a whole
// plot builds the same set-up anew. Building the first set-up is not counted.
func BenchEffort(spec Spec, runs []Run) Effort {
	e := Effort{Runs: len(runs)}
	anew := 0
	for _, f := range spec.Slow {
		if len(spec.levels(f)) > 1 {
			anew++
		}
	}
	for i, r := range runs {
		if r.Reference {
			e.References++
		}
		if i == 0 {
			continue
		}
		last := runs[i-1]
		changes := 0
		for _, differs := range []bool{r.Hand != last.Hand, r.Item != last.Item, r.Setting != last.Setting} {
			if differs {
				changes++
			}
		}
		if changes == 0 && r.WholePlot != last.WholePlot {
			changes = anew
		}
		e.Changes += changes
	}
	e.Seconds = float64(e.Runs)*spec.TrialSeconds + float64(e.Changes)*spec.ChangeSeconds
	return e
}

// Summarize counts what a plan drawn from the spec holds.
func Summarize(spec Spec, runs []Run) Summary {
	s := Summary{
		Effort: BenchEffort(spec, runs), Seed: spec.Seed, Digest: Digest(runs), Slow: slices.Clone(spec.Slow),
		SetUps: len(spec.plots()), Totals: totals(spec, runs),
	}
	inBlock := map[int]int{}
	for _, r := range runs {
		s.Blocks, s.WholePlots = max(s.Blocks, r.Block), max(s.WholePlots, r.WholePlot)
		inBlock[r.Block]++
		s.LargestRun = max(s.LargestRun, inBlock[r.Block])
	}
	s.Notes = notes(spec, s)
	return s
}

func totals(spec Spec, runs []Run) []FactorTotal {
	type key struct{ factor, level string }
	counted := map[key]*FactorTotal{}
	lastPlot := map[key]int{}
	var out []*FactorTotal
	list := func(factor string, levels []string) {
		for _, l := range levels {
			t := &FactorTotal{Factor: factor, Level: l}
			counted[key{factor, l}] = t
			out = append(out, t)
		}
	}
	closings := make([]string, len(spec.ClosingLevels))
	for i, c := range spec.ClosingLevels {
		closings[i] = closingText(c)
	}
	list("hand", spec.Hands)
	list("item", spec.Items)
	list("setting", spec.Settings)
	list("strategy", spec.Strategies)
	list("closing", closings)
	for _, r := range runs {
		if r.Reference {
			continue
		}
		for _, k := range []key{{"hand", r.Hand}, {"item", r.Item}, {"setting", r.Setting}, {"strategy", r.Strategy}, {"closing", closingText(r.Closing)}} {
			t := counted[k]
			if t == nil {
				continue // the runs are of another spec; Verify says so
			}
			t.Runs++
			if lastPlot[k] != r.WholePlot {
				lastPlot[k] = r.WholePlot
				t.WholePlots++
			}
		}
	}
	flat := make([]FactorTotal, len(out))
	for i, t := range out {
		flat[i] = *t
	}
	return flat
}

func closingText(c float64) string { return fmt.Sprintf("%g", c) }

func notes(spec Spec, s Summary) []string {
	out := []string{fmt.Sprintf("Order drawn at random from seed %d (ChaCha8 streams); plan digest %s. The same seed gives the same plan.", s.Seed, s.Digest[:16])}
	if s.SetUps > 1 {
		var names []string
		for _, f := range spec.Slow {
			if len(spec.levels(f)) > 1 {
				names = append(names, string(f))
			}
		}
		out = append(out, fmt.Sprintf(
			"This is a split-plot plan: the set-up (%s) is kept inside each of %d whole plots. Judge its effects against the spread between whole plots, not between single trials.",
			strings.Join(names, ", "), s.WholePlots))
		if spec.Replicates == 1 {
			out = append(out, "Each combination of slow factors is set up only once, so the luck of a set-up cannot be told from the factors' effects. Two or more replicates can.")
		}
	}
	if spec.References == 0 {
		out = append(out, "There are no reference trials, so wear of the hand or a drifting bench will not show.")
	}
	if spec.Offset.Kind == OffsetNone {
		out = append(out, "Items are placed without offset, so the map holds for perfect placement only.")
	}
	return out
}

// Text returns the summary as lines of plain text for the head of a run sheet.
func (s Summary) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d runs, of them %d reference runs, in %d blocks and %d whole plots\n", s.Runs, s.References, s.Blocks, s.WholePlots)
	fmt.Fprintf(&b, "about %.1f hours at the bench with %d changes of hand, item or setting\n", s.Hours(), s.Changes)
	for _, t := range s.Totals {
		fmt.Fprintf(&b, "%-9s %-24s %6d runs in %d whole plots\n", t.Factor, t.Level, t.Runs, t.WholePlots)
	}
	for _, n := range s.Notes {
		b.WriteString(n + "\n")
	}
	return b.String()
}

// Digest returns the SHA-256 of the runs in hexadecimal, over every field in order.
func Digest(runs []Run) string {
	h := sha256.New()
	var buffer []byte
	for _, r := range runs {
		buffer = buffer[:0]
		for _, n := range []int{r.Order, r.Block, r.WholePlot, r.Cell, r.Replicate} {
			buffer = binary.LittleEndian.AppendUint64(buffer, uint64(n))
		}
		for _, s := range []string{r.Hand, r.Item, r.Setting, r.Strategy} {
			buffer = binary.LittleEndian.AppendUint64(buffer, uint64(len(s)))
			buffer = append(buffer, s...)
		}
		for _, v := range []float64{r.Rotation.W, r.Rotation.X, r.Rotation.Y, r.Rotation.Z, r.Closing, r.Offset[0], r.Offset[1], r.Offset[2]} {
			buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(v))
		}
		if r.Reference {
			buffer = append(buffer, 1)
		} else {
			buffer = append(buffer, 0)
		}
		h.Write(buffer)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Verify draws the spec's plan again and says whether runs are that plan: nil, or
// a conflict that names the first run that differs.
func Verify(spec Spec, runs []Run) error {
	want, err := Draw(spec)
	if err != nil {
		return err
	}
	for i := range min(len(want), len(runs)) {
		if runs[i] != want[i] {
			return domain.Errorf(domain.KindConflict,
				"run %d is not the one that seed %d gives; the plan or its conditions were changed after it was drawn", i+1, spec.Seed)
		}
	}
	if len(runs) != len(want) {
		return domain.Errorf(domain.KindConflict, "the plan has %d runs where seed %d gives %d; runs were added or removed", len(runs), spec.Seed, len(want))
	}
	return nil
}
