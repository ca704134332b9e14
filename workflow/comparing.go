package workflow

import (
	"context"
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/compare"
)

// Unit says what a comparison counts as one observation.
type Unit string

// The units. What a study was planned for decides between them, unless the reader does.
const (
	UnitAsRun  Unit = ""            // let the plan decide
	UnitPlots  Unit = "whole plots" // what is compared was changed only between whole plots, as hands are
	UnitBlocks Unit = "blocks"      // both were tried in the same blocks
	UnitPairs  Unit = "pairs"       // the same planned orientation, closing command and replicate under both
	UnitTrials Unit = "trials"      // trials as if nothing else mattered
)

// CompareQuery asks how two levels of one factor compare in a study.
type CompareQuery struct {
	Study     domain.ID
	By        string           // what is compared: "strategy", "hand", "item" or "setting"
	A, B      string           // its two levels
	Condition domain.Condition // the rest; empty fields: all, told apart as blocks are
	Unit      Unit
	NoWorseBy float64  // margin of "no worse", 0 < … < 1
	Blur      *float64 // rad, for the maps; nil: the study's line error
}

// Comparison is what a study says about two levels of a factor.
type Comparison struct {
	By, A, B string
	Level    float64 // of all intervals
	Sentence string
	Arms     compare.Arms
	Unit     Unit
	Units    string // how many units there are, in words
	Why      string // why this unit
	Measured Measured
	NoWorse  NoWorse
	Plain    compare.Comparison // of trials as if nothing else mattered
	Levels   []LevelRow         // all levels of the factor, largest share held first
	Pairs    []LevelPair        // all pairs of levels
	Warnings []string
	Invented bool
}

// Measured is a difference of success probabilities, A minus B, by some unit.
type Measured struct {
	Difference, Low, High float64
	Better                *float64 // posterior probability that A is better; nil: not given for this unit
	Test                  string
	P                     compare.PValues
}

// NoWorse answers whether A is no worse than B by more than the margin, and whether both are as good within it.
type NoWorse struct {
	Margin     float64
	Bound      float64 // lower bound of the difference at Confidence
	Upper      float64 // upper bound of it
	Confidence float64 // one-sided
	Shown      bool    // Bound > −Margin
	ShownEqual bool    // and Upper < Margin: two one-sided tests
	Posterior  *float64
	Equal      *float64
}

// LevelRow is one level of the factor with its counts and an exact interval.
type LevelRow struct {
	Name string
	Tally
}

// LevelPair compares two levels, with p-values adjusted for all pairs.
type LevelPair struct {
	A, B string
	Unit Unit
	Measured
	Holm float64 // two-sided p after Holm's correction over all pairs
}

// factors reads and sets the part of a condition that a factor names.
var factors = map[string]func(*domain.Condition) *string{
	"strategy": func(c *domain.Condition) *string { return (*string)(&c.Strategy) },
	"hand":     func(c *domain.Condition) *string { return (*string)(&c.Hand) },
	"item":     func(c *domain.Condition) *string { return (*string)(&c.Item) },
	"setting":  func(c *domain.Condition) *string { return (*string)(&c.Setting) },
}

// Factors lists what can be compared, in the order in which pages show it.
var Factors = []string{"strategy", "hand", "item", "setting"}

// unitTrial is what a comparison needs of a trial.
type unitTrial struct {
	level   string
	held    bool
	plot    int // whole plot of the planned run; without a plan the block, as a negative number; 0: neither
	block   int // 0: none
	stratum stratum
	pair    pair
}

// stratum is the block with the parts of the condition that are neither compared nor fixed.
type stratum struct {
	block int
	rest  domain.Condition
}

// pair is what planned runs of two levels have in common that belong together; the zero pair: not planned.
type pair struct {
	rest      domain.Condition
	cell      int
	closing   float64
	replicate int // from 1
}

// Compare compares two levels of a factor as the study was run.
func (l *Lab) Compare(ctx context.Context, q CompareQuery) (Comparison, error) {
	k, err := l.kept(ctx, q.Study)
	if err != nil {
		return Comparison{}, err
	}
	r, err := l.record(ctx, q.Study)
	if err != nil {
		return Comparison{}, err
	}
	part := factors[q.By]
	switch {
	case part == nil:
		return Comparison{}, invalid("say what to compare", domain.FieldError{Field: "query.by", Value: q.By, Reason: "must be strategy, hand, item or setting"})
	case !(q.NoWorseBy > 0 && q.NoWorseBy < 1):
		return Comparison{}, invalid("the margin can not be used", domain.FieldError{Field: "query.no_worse_by", Value: fmt.Sprint(q.NoWorseBy), Reason: "must lie between 0 and 1, such as 0.02 for 2 points"})
	case !slices.Contains([]Unit{UnitAsRun, UnitPlots, UnitBlocks, UnitPairs, UnitTrials}, q.Unit):
		return Comparison{}, invalid("the unit is not known", domain.FieldError{Field: "query.unit", Value: string(q.Unit), Reason: "must be whole plots, blocks, pairs or trials, or be left out"})
	}
	trials := k.unitTrials(r.trials, q.By, q.Condition)
	levels := levelRows(trials)
	names := make([]string, len(levels))
	for i, row := range levels {
		names[i] = row.Name
	}
	if len(levels) < 2 {
		return Comparison{}, domain.Errorf(domain.KindNotFound, "there is nothing to compare: the trials have %d %s only; run trials of at least two", len(levels), plural(q.By, len(levels)))
	}
	for _, f := range []struct{ field, name string }{{"query.a", q.A}, {"query.b", q.B}} {
		if !slices.Contains(names, f.name) {
			return Comparison{}, invalid("say which two to compare", domain.FieldError{Field: f.field, Value: f.name, Reason: "has no trials here; those that have are " + list(names)})
		}
	}
	if q.A == q.B {
		return Comparison{}, invalid("say which two to compare", domain.FieldError{Field: "query.b", Value: q.B, Reason: "is the same as a"})
	}
	c := Comparison{By: q.By, A: q.A, B: q.B, Level: IntervalLevel, Levels: levels, Warnings: []string{}, Invented: k.study.Invented}
	p, err := comparePair(trials, q.By, q.A, q.B, q.Unit)
	if err != nil {
		return Comparison{}, err
	}
	c.Arms, c.Unit, c.Units, c.Why, c.Measured, c.Sentence, c.Warnings = p.arms, p.unit, p.units, p.why, p.Measured, p.sentence, append(c.Warnings, p.warnings...)
	if c.Plain, err = compare.Proportions(p.arms, IntervalLevel); err != nil {
		return Comparison{}, err
	}
	if c.NoWorse, err = p.noWorse(q.NoWorseBy); err != nil {
		return Comparison{}, err
	}
	if c.Pairs, err = comparePairs(trials, q.By, names, q.Unit); err != nil {
		return Comparison{}, err
	}
	return c, nil
}

func plural(noun string, n int) string {
	switch {
	case n == 1:
		return noun
	case noun == "strategy":
		return "strategies"
	}
	return noun + "s"
}

// unitTrials picks the trials that count under the fixed part of a condition, without reference trials.
func (k *keptStudy) unitTrials(trials []domain.CountedTrial, by string, fixed domain.Condition) []unitTrial {
	part := factors[by]
	*part(&fixed) = ""
	var out []unitTrial
	for i := range trials {
		t := &trials[i]
		c := conditionOf(&t.Trial)
		if !t.Counted.Counts() || t.Apart() || !matches(fixed, c) {
			continue
		}
		u := unitTrial{level: *part(&c), held: t.Held(), block: t.Block, plot: -t.Block}
		*part(&c) = ""
		u.stratum = stratum{t.Block, c}
		if at, planned := k.byRun[t.Order]; planned && t.Order > 0 {
			run := &k.runs[at]
			u.plot = run.WholePlot
			u.pair = pair{c, run.Cell, run.Closing, run.Replicate}
		}
		out = append(out, u)
	}
	return out
}

// levelRows counts the trials of each level.
func levelRows(trials []unitTrial) []LevelRow {
	at := map[string]int{}
	rows := []LevelRow{}
	for _, t := range trials {
		i, ok := at[t.level]
		if !ok {
			i = len(rows)
			at[t.level] = i
			rows = append(rows, LevelRow{Name: t.level})
		}
		rows[i].Tally.add(t.held)
	}
	for i := range rows {
		// Counts of trials that exist always have an interval.
		_ = rows[i].Tally.close()
	}
	slices.SortStableFunc(rows, func(a, b LevelRow) int {
		x, y := float64(a.Held)/float64(a.Trials), float64(b.Held)/float64(b.Trials)
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		case a.Name < b.Name:
			return -1
		}
		return 1
	})
	return rows
}

// pairResult is the comparison of two levels.
type pairResult struct {
	Measured
	arms            compare.Arms
	unit            Unit
	units, why      string
	sentence        string
	warnings        []string
	standardError   float64 // of the difference, for an approximate posterior; 0: none
	exactPosteriors bool    // the unit is the trial
}

// comparePairs compares all pairs of levels and corrects their p-values for being many.
func comparePairs(trials []unitTrial, by string, names []string, unit Unit) ([]LevelPair, error) {
	pairs := []LevelPair{}
	var p []float64
	for i, a := range names {
		for _, b := range names[i+1:] {
			r, err := comparePair(trials, by, a, b, unit)
			if err != nil {
				return nil, err
			}
			pairs = append(pairs, LevelPair{A: a, B: b, Unit: r.unit, Measured: r.Measured})
			p = append(p, r.P.TwoSided)
		}
	}
	for i, adjusted := range compare.Holm(p) {
		pairs[i].Holm = adjusted
	}
	return pairs, nil
}

// relabelSeed seeds the relabellings of whole plots where there are too many to try all.
const relabelSeed = 1

// comparePair compares two levels by the unit asked for, or by the one that the way they were run asks for.
func comparePair(trials []unitTrial, by, a, b string, asked Unit) (pairResult, error) {
	var r pairResult
	s := sortUnits(trials, a, b)
	r.arms = s.arms
	unit, why := s.unit(by)
	switch {
	case asked == UnitAsRun:
		r.why = why
	case asked != unit && unit != UnitTrials:
		r.why, unit = fmt.Sprintf("You chose to compare by %s; the way they were run asks for %s.", asked, unit), asked
	default:
		r.why, unit = fmt.Sprintf("You chose to compare by %s.", asked), asked
	}
	if s.onceOnly && unit == UnitTrials {
		r.warnings = append(r.warnings, fmt.Sprintf("Each %s was set up once only, so what differs between them could be the day or the mounting. Repeat the study with at least two whole plots of each; until then the interval is too narrow.", by))
	}
	var err error
	switch unit {
	case UnitPlots:
		err = r.byPlots(s, a, b)
	case UnitBlocks:
		err = r.byBlocks(s, a, b)
	case UnitPairs:
		err = r.byPairs(s, a, b)
	default:
		err = r.byTrials(a, b)
	}
	r.unit = unit
	if asked == UnitTrials && len(s.shared) > 1 {
		r.warnings = append(r.warnings, "Blocks are left out of account by choice: the interval is right only if they do not matter.")
	}
	return r, err
}

// sortedUnits are the trials of two levels by whole plot, block and pair.
type sortedUnits struct {
	arms      compare.Arms
	plots     [2][]compare.Arms // per whole plot of A, of B: counts in HeldA, TrialsA
	mixed     bool              // some whole plot has both
	unplanned int               // trials without a whole plot
	shared    []compare.Arms    // strata with trials of both
	alone     int               // trials in strata with one only
	unblocked int               // trials without a block
	pairs     compare.Pairs
	unpaired  int
	onceOnly  bool // the factor changes between whole plots only, and one of its levels has a single one
	perPlot   bool // the factor changes between whole plots only
}

func sortUnits(trials []unitTrial, a, b string) sortedUnits {
	var s sortedUnits
	type pairSeen struct{ a, b []bool }
	plots, strata, pairs := map[int]*compare.Arms{}, map[stratum]*compare.Arms{}, map[pair]*pairSeen{}
	var plotOrder []int
	var strataOrder []stratum
	var pairOrder []pair
	for _, t := range trials {
		if t.level != a && t.level != b {
			continue
		}
		first := t.level == a
		count(&s.arms, first, t.held)
		if strata[t.stratum] == nil {
			strata[t.stratum] = &compare.Arms{}
			strataOrder = append(strataOrder, t.stratum)
		}
		count(strata[t.stratum], first, t.held)
		if t.block == 0 {
			s.unblocked++
		}
		if t.plot == 0 {
			s.unplanned++
		} else {
			if plots[t.plot] == nil {
				plots[t.plot] = &compare.Arms{}
				plotOrder = append(plotOrder, t.plot)
			}
			count(plots[t.plot], first, t.held)
		}
		if t.pair == (pair{}) {
			s.unpaired++
			continue
		}
		p := pairs[t.pair]
		if p == nil {
			p = &pairSeen{}
			pairs[t.pair] = p
			pairOrder = append(pairOrder, t.pair)
		}
		if first {
			p.a = append(p.a, t.held)
		} else {
			p.b = append(p.b, t.held)
		}
	}
	for _, n := range plotOrder {
		switch p := plots[n]; {
		case p.TrialsA > 0 && p.TrialsB > 0:
			s.mixed = true
		case p.TrialsA > 0:
			s.plots[0] = append(s.plots[0], *p)
		default:
			s.plots[1] = append(s.plots[1], *p)
		}
	}
	for _, n := range strataOrder {
		if p := strata[n]; p.TrialsA > 0 && p.TrialsB > 0 {
			s.shared = append(s.shared, *p)
		} else {
			s.alone += p.TrialsA + p.TrialsB
		}
	}
	for _, n := range pairOrder {
		p := pairs[n]
		if len(p.a) != 1 || len(p.b) != 1 {
			s.unpaired += len(p.a) + len(p.b)
			continue
		}
		switch held := [2]bool{p.a[0], p.b[0]}; held {
		case [2]bool{true, true}:
			s.pairs.Both++
		case [2]bool{true, false}:
			s.pairs.OnlyA++
		case [2]bool{false, true}:
			s.pairs.OnlyB++
		default:
			s.pairs.Neither++
		}
	}
	s.perPlot = s.unplanned == 0 && !s.mixed && len(plotOrder) < s.arms.TrialsA+s.arms.TrialsB
	s.onceOnly = s.perPlot && (len(s.plots[0]) < 2 || len(s.plots[1]) < 2)
	return s
}

func count(a *compare.Arms, first, held bool) {
	trials, success := &a.TrialsA, &a.HeldA
	if !first {
		trials, success = &a.TrialsB, &a.HeldB
	}
	*trials++
	if held {
		*success++
	}
}

// unit says what the way the trials were run asks for. Taking trials for independent where a factor was changed only
// between whole plots would count one lucky mounting many times over (the split-plot trap: F. Yates, J. Agric. Sci. 23
// (1933) 108 for the principle; from memory).
func (s *sortedUnits) unit(by string) (Unit, string) {
	switch {
	case s.perPlot && !s.onceOnly:
		return UnitPlots, fmt.Sprintf("The %s was changed only between whole plots, so whole plots are compared, not the trials in them.", by)
	case s.perPlot:
		return UnitTrials, fmt.Sprintf("The %s was changed only between whole plots, but there are too few of them to tell chance by.", by)
	case s.unblocked == 0 && len(s.shared) > 1:
		return UnitBlocks, "Both were tried in the same blocks, so they are compared within blocks and what a block has of its own drops out."
	case len(s.shared) > 1:
		return UnitBlocks, "Both were tried under the same conditions, so they are compared within each of them."
	}
	return UnitTrials, "The trials were not run in blocks that hold both, so they are compared as two independent samples."
}

func (r *pairResult) byTrials(a, b string) error {
	p, err := compare.Proportions(r.arms, IntervalLevel)
	if err != nil {
		return err
	}
	r.units = fmt.Sprintf("%d and %d trials", p.TrialsA, p.TrialsB)
	better := p.Better
	r.Measured = Measured{p.Difference, p.Interval.Low, p.Interval.High, &better, "Boschloo’s exact test", p.Boschloo}
	r.sentence, r.exactPosteriors = p.Sentence(a, b), true
	return nil
}

func (r *pairResult) byBlocks(s sortedUnits, a, b string) error {
	p, err := compare.PerBlock(s.shared, IntervalLevel)
	if err != nil {
		return err
	}
	r.units = fmt.Sprintf("%d blocks", p.Blocks)
	better := p.Better
	r.Measured = Measured{p.Difference, p.Interval.Low, p.Interval.High, &better, "exact conditional test within blocks", p.Exact}
	r.sentence = p.Sentence(a, b)
	r.standardError = p.Interval.HalfWidth() / numeric.NormalQuantile((1+IntervalLevel)/2)
	if s.alone > 0 {
		r.warnings = append(r.warnings, fmt.Sprintf("%s in blocks with one of the two only, and are left out.", lie(s.alone)))
	}
	return nil
}

func lie(n int) string {
	if n == 1 {
		return "1 trial lies"
	}
	return fmt.Sprintf("%d trials lie", n)
}

func (r *pairResult) byPairs(s sortedUnits, a, b string) error {
	if s.pairs.N() == 0 {
		return domain.Errorf(domain.KindRefused, "there are no pairs: no planned orientation was tried once under %s and once under %s in the same replicate; compare by blocks or trials", a, b)
	}
	p, err := compare.Matched(s.pairs, IntervalLevel)
	if err != nil {
		return err
	}
	r.units = fmt.Sprintf("%d pairs, of which %d differ", p.N(), p.OnlyA+p.OnlyB)
	better := p.Better
	r.Measured = Measured{p.Difference, p.Interval.Low, p.Interval.High, &better, "McNemar’s exact test", p.McNemar}
	r.sentence = p.Sentence(a, b)
	if s.unpaired > 0 {
		have := "trials have"
		if s.unpaired == 1 {
			have = "trial has"
		}
		r.warnings = append(r.warnings, fmt.Sprintf("%d %s no partner and are left out.", s.unpaired, have))
	}
	return nil
}

func (r *pairResult) byPlots(s sortedUnits, a, b string) error {
	shares := func(plots []compare.Arms) []float64 {
		out := make([]float64, len(plots))
		for i, p := range plots {
			out[i] = float64(p.HeldA+p.HeldB) / float64(p.TrialsA+p.TrialsB)
		}
		return out
	}
	if s.mixed {
		return domain.Errorf(domain.KindRefused, "some whole plots hold both %s and %s, so whole plots can not be compared; compare by blocks", a, b)
	}
	p, err := compare.PerWholePlot(shares(s.plots[0]), shares(s.plots[1]), IntervalLevel, relabelSeed)
	if err != nil {
		return err
	}
	r.units = fmt.Sprintf("%d and %d whole plots", p.PlotsA, p.PlotsB)
	r.Measured = Measured{p.Difference, p.Interval.Low, p.Interval.High, nil, "whole plots relabelled", p.Permuted}
	verdict := fmt.Sprintf("It is not clear whether %s or %s holds more often", a, b)
	switch {
	case p.Interval.Low > 0:
		verdict = fmt.Sprintf("%s holds more often than %s", a, b)
	case p.Interval.High < 0:
		verdict = fmt.Sprintf("%s holds less often than %s", a, b)
	}
	r.sentence = fmt.Sprintf("%s: %+.3g points over %s, %.3g %% interval %+.3g to %+.3g.", verdict, 100*p.Difference, r.units, 100*IntervalLevel, 100*p.Interval.Low, 100*p.Interval.High)
	if s.unplanned > 0 {
		r.warnings = append(r.warnings, fmt.Sprintf("%d trials outside the plan belong to no whole plot and are left out.", s.unplanned))
	}
	return nil
}

// noWorse asks the question of the margin by the same unit as the rest: the interval's ends are one-sided bounds at
// (1 + level)/2.
func (r *pairResult) noWorse(margin float64) (NoWorse, error) {
	n := NoWorse{Margin: margin, Bound: r.Low, Upper: r.High, Confidence: (1 + IntervalLevel) / 2}
	n.Shown = n.Bound > -margin
	n.ShownEqual = n.Shown && n.Upper < margin
	switch {
	case r.exactPosteriors:
		e, err := compare.Equivalence(r.arms, margin, n.Confidence)
		if err != nil {
			return n, err
		}
		n.Posterior, n.Equal = &e.Posterior, &e.Equal
	case r.standardError > 0:
		// Large samples: the posterior of the difference is near normal around the estimate.
		above := func(x float64) float64 { return numeric.NormalSurvival((x - r.Difference) / r.standardError) }
		posterior, equal := above(-margin), math.Max(0, above(-margin)-above(margin))
		n.Posterior, n.Equal = &posterior, &equal
	}
	return n, nil
}
