package store

import (
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

func modelFit(id domain.ID) domain.ModelFit {
	return domain.ModelFit{
		ID: id, Study: "s", Condition: domain.Condition{Hand: "h", Item: "i", Setting: "t", Strategy: domain.StrategyFree}, Trials: 40, Held: 31, Simulated: 4000,
		Quantities:  []domain.FittedQuantity{{Name: "friction", Words: "of the skin", Mean: 0.7, Low: 0.5, High: 0.9, PriorLow: 0.2, PriorHigh: 1.2, Told: 0.6}},
		Correlation: [][]float64{{1}}, Tilts: []domain.ModelBand{{To: 0.25, Trials: 20, Held: 18, Expected: 16.5, ExpectedLow: 13, ExpectedHigh: 19, ObservedLow: 0.7, ObservedHigh: 0.98}},
		Disagreements: []domain.ModelRegion{{Sentence: "At tilts of 30° to 45° …", Chance: 0.02}}, Differs: 0.3,
		Unlikely: []domain.UnlikelyTrial{{Trial: 12, Rotation: orient.RotZ(1), Outcome: domain.OutcomeSlipped, Chance: 0.03}},
		Trust:    0.9, Saved: 55, Sentence: "Nothing speaks against it.", Warnings: []string{"é"}, Evidence: "ab", OffsetsKnown: true, Seed: 1<<63 + 5,
		Prior:    domain.ModelPrior{Symmetry: orient.Symmetry{HandFold: 3}, Degree: 1, Coefficients: []float64{0.5, -1e-17, 2}},
		FittedAt: time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC), InUse: true, Meta: domain.Meta{Invented: true},
	}
}

var modelTests = nounTests([]kept{{"ModelFit",
	func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
		f := modelFit(id)
		f.Sentence, f.Revision = note, revision
		return b.PutModelFit(b.ctx, f)
	},
	func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
		f, err := b.ModelFit(b.ctx, id)
		return f.Sentence, f.Meta, f, err
	},
	func(b *bench) (ids []domain.ID, err error) {
		list, err := b.ModelFits(b.ctx)
		for _, f := range list {
			ids = append(ids, f.ID)
		}
		return ids, err
	},
	func(id domain.ID, note string, meta domain.Meta) any {
		f := modelFit(id)
		f.Sentence, f.Meta = note, meta
		return f
	}}})
