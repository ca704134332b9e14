package design

import (
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

// ReferenceBlock is what the reference trials of one block gave. Void trials do
// not belong in it.
type ReferenceBlock struct {
	Block   int    // the block's number, which stands for time
	Stratum string // what must be alike to compare blocks, such as hand, item and setting
	Held    int
	Trials  int
}

// Drift is the verdict on a trend of the reference trials over the blocks.
type Drift struct {
	Overall  proportion.Counts
	Early    proportion.Counts // first half of the blocks
	Late     proportion.Counts // second half of the blocks; the middle one of an odd number belongs here
	Z        float64           // standardised trend: negative when success falls; 0 when none can be computed
	P        float64           // two-sided probability of a trend at least as strong by chance; 1 when none can be computed
	Exact    bool              // P by the exact conditional distribution, otherwise by the normal approximation
	Drifting bool              // P below DriftAlpha
	Sentence string            // the verdict in words
}

// DriftAlpha is the level below which [ReferenceDrift] speaks of drift. A test
// looked at after every block cries wolf more often than that; it asks for a look
// at the bench, not for a conclusion.
const DriftAlpha = 0.05

// driftBudget bounds the steps of the exact distribution.
const driftBudget = 20_000_000

// ReferenceDrift tests whether the success of the reference trials changes with
// the block number: the Cochran–Armitage trend test, conditional on the number
// held in each stratum, exact while that is quick. Only comparisons inside a
// stratum count, so a change of hand does not look like drift. Sources: P.
// Armitage, "Tests for linear trends in proportions and frequencies", Biometrics
// 11 (1955) 375; stratified and exact form, common practice, no source. Blocks
// with impossible counts, or repeated within a stratum, are an error.
func ReferenceDrift(blocks []ReferenceBlock) (Drift, error) {
	sorted, err := sortedBlocks(blocks)
	if err != nil {
		return Drift{}, err
	}
	d := Drift{P: 1}
	d.split(sorted)
	strata := byStratum(sorted)
	score, mean, variance := 0.0, 0.0, 0.0
	for _, s := range strata {
		sc, m, v := trendMoments(s)
		score, mean, variance = score+sc, mean+m, variance+v
	}
	if variance <= 0 {
		d.Sentence = d.nothingToTell(strata)
		return d, nil
	}
	d.Z = (score - mean) / math.Sqrt(variance)
	if exactSteps(strata) <= driftBudget {
		d.Exact = true
		d.P = exactTrend(strata)
	} else {
		d.P = 2 * numeric.NormalSurvival(math.Abs(d.Z))
	}
	d.Drifting = d.P < DriftAlpha
	d.Sentence = d.verdict()
	return d, nil
}

func sortedBlocks(blocks []ReferenceBlock) ([]ReferenceBlock, error) {
	type key struct {
		stratum string
		block   int
	}
	seen := map[key]bool{}
	var sorted []ReferenceBlock
	for i, b := range blocks {
		if b.Held < 0 || b.Held > b.Trials {
			return nil, domain.Errorf(domain.KindInvalid, "reference trials of block %d: %d held of %d cannot be", b.Block, b.Held, b.Trials)
		}
		k := key{b.Stratum, b.Block}
		if seen[k] {
			return nil, domain.Errorf(domain.KindInvalid, "reference trials of block %d appear twice (entry %d); add them up first", b.Block, i+1)
		}
		seen[k] = true
		if b.Trials > 0 {
			sorted = append(sorted, b)
		}
	}
	slices.SortStableFunc(sorted, func(a, b ReferenceBlock) int { return a.Block - b.Block })
	return sorted, nil
}

func (d *Drift) split(sorted []ReferenceBlock) {
	for i, b := range sorted {
		half := &d.Late
		if i < len(sorted)/2 {
			half = &d.Early
		}
		half.Successes += b.Held
		half.Trials += b.Trials
		d.Overall.Successes += b.Held
		d.Overall.Trials += b.Trials
	}
}

// byStratum groups blocks, strata in order of appearance, and counts each
// stratum's block numbers from its first.
func byStratum(sorted []ReferenceBlock) [][]ReferenceBlock {
	var out [][]ReferenceBlock
	place := map[string]int{}
	for _, b := range sorted {
		i, known := place[b.Stratum]
		if !known {
			i = len(out)
			place[b.Stratum] = i
			out = append(out, nil)
		}
		if len(out[i]) > 0 {
			b.Block -= out[i][0].Block
		}
		out[i] = append(out[i], b)
	}
	for _, s := range out {
		s[0].Block = 0
	}
	return out
}

// trendMoments returns Σ block·held and its mean and variance when the held trials
// of the stratum are spread over its blocks at random.
func trendMoments(stratum []ReferenceBlock) (score, mean, variance float64) {
	n, held, first, second := 0.0, 0.0, 0.0, 0.0
	for _, b := range stratum {
		t, trials := float64(b.Block), float64(b.Trials)
		score += t * float64(b.Held)
		n += trials
		held += float64(b.Held)
		first += trials * t
		second += trials * t * t
	}
	if n < 2 {
		return score, score, 0
	}
	spread := second - first*first/n
	return score, held * first / n, held * (n - held) / (n * (n - 1)) * spread
}

// nothingToTell says why no trend can be computed.
func (d *Drift) nothingToTell(strata [][]ReferenceBlock) string {
	comparable := false
	for _, s := range strata {
		comparable = comparable || len(s) > 1
	}
	switch {
	case d.Overall.Trials == 0:
		return "There are no reference trials yet."
	case !comparable:
		return "Drift cannot be judged yet: reference trials are needed in at least two blocks with the same set-up."
	case d.Overall.Successes == d.Overall.Trials:
		return fmt.Sprintf("All %d reference trials held: no sign of drift.", d.Overall.Trials)
	case d.Overall.Successes == 0:
		return fmt.Sprintf("None of %d reference trials held: drift cannot be judged; choose a reference condition that mostly holds.", d.Overall.Trials)
	default:
		return "Drift cannot be judged: within each set-up the reference trials all ended alike."
	}
}

func (d *Drift) verdict() string {
	how := "exact trend test"
	if !d.Exact {
		how = "trend test"
	}
	if !d.Drifting {
		return fmt.Sprintf("Reference trials held in %s: no clear sign of drift (%s, p %s).", d.Overall, how, probabilityText(d.P))
	}
	direction, look := "falls", "Look for wear of the hand or a change at the bench before going on."
	if d.Z > 0 {
		direction, look = "rises", "Something at the bench has changed, such as warming up or practice; find out before comparing blocks."
	}
	return fmt.Sprintf("Success of the reference trials %s over the blocks: %s held in the first half, %s in the second (%s, p %s). %s",
		direction, d.Early, d.Late, how, probabilityText(d.P), look)
}

func probabilityText(p float64) string {
	if p < 0.001 {
		return "< 0.001"
	}
	return fmt.Sprintf("= %.2g", p)
}
