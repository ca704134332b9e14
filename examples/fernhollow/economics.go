package fernhollow

import (
	"context"
	"fmt"

	"holdfast/domain"
	"holdfast/workflow"
)

// fillEconomics states what the bakery's items, hands and packing line bring and cost. All of it is invented.
func fillEconomics(ctx context.Context, lab *workflow.Lab) error {
	line := domain.LineEconomics{Currency: "EUR", Hour: 18, Standing: 60, PersonHour: 26, CycleHours: 8, Meta: domain.Meta{Invented: true}}
	if _, err := lab.SaveLineEconomics(ctx, line); err != nil {
		return fmt.Errorf("line: %w", err)
	}
	for _, h := range []domain.HandEconomics{
		{ID: "trefoil", Price: 1900, LifePicks: 1.5e6, LifeHours: 4000, ChangeSeconds: 90},
		{ID: "tweezer", Price: 1300, LifePicks: 2e6, LifeHours: 5000, ChangeSeconds: 90},
		{ID: "tendon-five", Price: 3400, LifePicks: 1.2e6, LifeHours: 4000, ChangeSeconds: 120},
		{ID: AirHand, Price: 2400, LifePicks: 0.8e6, LifeHours: 3000, ChangeSeconds: 90},
		{ID: "jaws-two", Price: 900, LifePicks: 4e6, LifeHours: 8000, ChangeSeconds: 60},
		{ID: "mitten", Price: 5200, LifePicks: 1e6, LifeHours: 4000, ChangeSeconds: 150},
	} {
		h.Invented = true
		if _, err := lab.SaveHandEconomics(ctx, h); err != nil {
			return fmt.Errorf("hand %s: %w", h.ID, err)
		}
	}
	again := []domain.RetryStep{domain.RetrySame, domain.RetryNext, domain.RetryPerson}
	careful := []domain.RetryStep{domain.RetrySame, domain.RetryPerson}
	for _, it := range []domain.ItemEconomics{
		{ID: "roll", Good: 0.14, Damaged: 0.35, Failed: 0.01, PersonItem: 0.05, PersonSeconds: 3.5, Demand: 420, Share: 0.35, Target: 0.80, Retry: again},
		{ID: "croissant", Good: 0.30, Damaged: 0.70, Failed: 0.02, PersonItem: 0.06, PersonSeconds: 4.5, Demand: 360, Share: 0.25, Retry: again},
		{ID: "eclair", Good: 0.55, Damaged: 1.20, Failed: 0.02, PersonItem: 0.08, PersonSeconds: 5, Demand: 300, Share: 0.20, Target: 0.80, Retry: careful},
		{ID: "cream-puff", Good: 0.45, Damaged: 0.90, Failed: 0.02, PersonItem: 0.08, PersonSeconds: 5, Demand: 300, Share: 0.12, CycleSeconds: 7, Target: 0.85, Retry: careful},
		{ID: "egg", Good: 0.20, Damaged: 0.60, Failed: 0.02, PersonItem: 0.05, PersonSeconds: 3, Demand: 480, Share: 0.08, CycleSeconds: 6, Target: 0.80, Retry: careful},
	} {
		it.Confidence, it.RetryFactor, it.FailSeconds, it.WaitSeconds, it.Invented = 0.95, 0.8, 1, 2, true
		it.FailedBy = map[domain.Outcome]float64{domain.OutcomeStopped: 1.50} // somebody walks over and looks
		if _, err := lab.SaveItemEconomics(ctx, it); err != nil {
			return fmt.Errorf("item %s: %w", it.ID, err)
		}
	}
	return nil
}
