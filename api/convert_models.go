package api

import (
	"strconv"
	"time"

	"holdfast/domain"
)

func fromModelFit(f *domain.ModelFit) *ModelFit {
	if f == nil {
		return nil
	}
	return &ModelFit{
		Trials: f.Trials, Held: f.Held, Simulated: f.Simulated, Sentence: f.Sentence, Correlation: f.Correlation,
		Quantities: each(f.Quantities, func(q domain.FittedQuantity) FittedQuantity { return FittedQuantity(q) }),
		Tilts:      each(f.Tilts, fromModelBand), Azimuths: each(f.Azimuths, fromModelBand),
		Disagreements: each(f.Disagreements, func(r domain.ModelRegion) ModelDisagrees { return ModelDisagrees{r.Sentence, r.Chance} }),
		Differs:       f.Differs,
		Unlikely: each(f.Unlikely, func(u domain.UnlikelyTrial) ModelUnlikely {
			return ModelUnlikely{int64(u.Trial), fromRotation(u.Rotation), string(u.Outcome), u.Chance}
		}),
		Trust: f.Trust, TrialsSaved: f.Saved, OffsetsKnown: f.OffsetsKnown, InUse: f.InUse, FittedAt: f.FittedAt.Format(time.RFC3339),
		Seed: strconv.FormatUint(f.Seed, 10), Warnings: append([]string{}, f.Warnings...),
	}
}

func fromModelBand(b domain.ModelBand) ModelBand {
	n := float64(max(b.Trials, 1))
	return ModelBand{
		FromDeg: angle(b.From), ToDeg: angle(b.To), Trials: b.Trials, Held: b.Held,
		Observed: float64(b.Held) / n, ObservedLow: b.ObservedLow, ObservedHigh: b.ObservedHigh,
		Expected: b.Expected / n, ExpectedLow: b.ExpectedLow / n, ExpectedHigh: b.ExpectedHigh / n,
	}
}
