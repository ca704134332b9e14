package workflow

import (
	"context"
	"crypto/sha256"
	"fmt"

	"holdfast/domain"
	"holdfast/statistics/successmap"
)

// leaning is a fitted simulation that stands behind a map.
type leaning struct {
	prior *successmap.PriorMean
	fit   domain.ModelFit
}

// fitShown returns the map of a condition as it is looked at: with the fitted simulation as its prior mean where that was
// chosen. What is decided, compared and released rests on [Lab.fit], the trials alone.
func (l *Lab) fitShown(ctx context.Context, study domain.ID, c domain.Condition) (*fitted, error) {
	in, err := l.mapInput(ctx, study, c)
	if err != nil {
		return nil, err
	}
	kept, err := l.Store.ModelFit(ctx, domain.ModelFitID(study, in.condition.Condition))
	switch {
	case domain.KindOf(err) == domain.KindNotFound || err == nil && !kept.InUse:
		return l.fit(ctx, study, c)
	case err != nil:
		return nil, err
	}
	prior, err := successmap.NewPriorMean(kept.Prior.Symmetry, kept.Prior.Degree, kept.Prior.Coefficients)
	if err != nil {
		return nil, domain.Internal("reading the fitted model", err)
	}
	now := *in
	now.leans = &leaning{prior, kept}
	now.key = sha256.Sum256(fmt.Appendf(nil, "%x leans on %s %d %s", in.key, kept.ID, kept.Revision, kept.Evidence))
	return l.fitOf(ctx, &now)
}

// notes says what stands behind the map.
func (p *leaning) notes(trust float64) []string {
	if p == nil {
		return nil
	}
	return []string{
		fmt.Sprintf("A simulation fitted to %d of these trials stands behind this map (weight %.2f): where no trial lies near, the map repeats it. What is chosen, compared and released rests on the trials alone.", p.fit.Trials, trust),
		"The scores flatter a map that leans on a simulation, because the simulation was fitted to the same trials.",
	}
}
