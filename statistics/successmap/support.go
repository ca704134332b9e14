package successmap

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Support says how much the trials tell about one orientation.
type Support struct {
	// PriorShare is the share of the prior variance of the log-odds that is left, 0 … 1: near 1 the trials tell nothing
	// here and the map shows its prior.
	PriorShare float64
	// Equivalent is the number of trials at this very orientation that would tell as much: the information gained, in
	// units of one trial at the estimated probability.
	Equivalent float64
}

// SupportAt returns the support of the map's estimate at r.
func (m *Map) SupportAt(r orient.Rotation) Support {
	var e [1]Estimate
	m.Predict(e[:], []orient.Rotation{r})
	return m.support(e[0])
}

func (m *Map) support(e Estimate) Support {
	prior := m.summary.Amplitude * m.summary.Amplitude
	variance := e.SD * e.SD
	p := expit(e.Mean)
	return Support{
		PriorShare: math.Min(1, variance/prior),
		Equivalent: math.Max(0, 1/variance-1/prior) / math.Max(p*(1-p), 1e-6),
	}
}

// thinShare is the share of prior variance beyond which an estimate counts as not supported by trials. With it the
// standard deviation of the log-odds is still 80 % of what it was before any trial.
const thinShare = 0.64

// RegionWarnings says in plain sentences whether the estimates asked for go beyond what the trials support. It returns
// nothing when they don't.
func (m *Map) RegionWarnings(estimates []Estimate) []string {
	thin := 0
	for _, e := range estimates {
		if m.support(e).PriorShare > thinShare {
			thin++
		}
	}
	switch {
	case thin == 0:
		return nil
	case thin == len(estimates):
		return []string{"No trial is near any of the orientations asked for: what the map shows there is hardly more than its assumptions."}
	default:
		return []string{fmt.Sprintf("%s of the orientations asked for have no trials near them (%d of %d): there the map shows hardly more than its assumptions.", percent(thin, len(estimates)), thin, len(estimates))}
	}
}

func percent(part, whole int) string {
	share := 100 * float64(part) / float64(whole)
	if share < 1 {
		return "Less than 1 %"
	}
	return fmt.Sprintf("%.0f %%", share)
}

// fewTrials is the number of trials below which a map is called a sketch: about two a function of degree 1.
const fewTrials = 20

// warnings of a fit as a whole.
func (m *Map) warn() []string {
	var w []string
	s := m.summary
	switch {
	case s.Held == 0:
		w = append(w, fmt.Sprintf("None of %.0f trials held: the map can only say how unlikely success is, not where it is likelier.", s.Trials))
	case s.Held == s.Trials:
		w = append(w, fmt.Sprintf("All of %.0f trials held: the map can only say how likely success is, not where it would fail.", s.Trials))
	}
	if s.Trials < fewTrials {
		w = append(w, fmt.Sprintf("Only %.0f trials: the map is a sketch with wide intervals; run more before deciding anything by it.", s.Trials))
	}
	switch {
	case s.Trials < fewTrials || s.Distinct >= 4:
	case s.Distinct == 1:
		w = append(w, "All trials were made at one orientation: away from it the map rests on its assumptions.")
	default:
		w = append(w, fmt.Sprintf("All trials were made at %d distinct orientations: away from them the map rests on its assumptions.", s.Distinct))
	}
	return w
}
