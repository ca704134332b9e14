package api

import (
	"context"
	"math"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/statistics/additive"
	"holdfast/workflow"
)

type factorsInput struct {
	Study    string `path:"study"`
	Hand     string `query:"hand" doc:"Only with this hand; empty: all"`
	Item     string `query:"item" doc:"Only this item; empty: all"`
	Setting  string `query:"setting" doc:"Only this setting; empty: all"`
	Strategy string `query:"strategy" doc:"Only by this strategy; empty: all"`
	Features bool   `query:"item_features" doc:"Also by size (geometric mean of the extents) and mass of the items"`
}

func (s *Server) factorRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/factors", "get-factors", "factors", "How everything that was varied moves success, and what matters", 200), func(ctx context.Context, in *factorsInput) (*struct{ Body Factors }, error) {
		f, err := s.lab.Factors(ctx, workflow.FactorsQuery{Study: domain.ID(in.Study), Condition: domain.Condition{
			Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)}, Features: in.Features})
		if err != nil {
			return nil, err
		}
		return &struct{ Body Factors }{fromFactors(f)}, nil
	})
}

// z95 bounds a central 90 % interval of a normal estimate.
const z95 = 1.6448536269514722

func fromFactors(f workflow.FactorEffects) Factors {
	w := Factors{
		Sentence: f.Sentence, Trials: f.Trials, Held: f.Held, Level: workflow.IntervalLevel, ScoredBy: f.By,
		Warnings: append([]string{}, f.Warnings...), Mark: f.Mark, Invented: f.Invented, Terms: []FactorTerm{},
		ItemFeatures: f.Features, Offered: f.Offered,
		Effects: each(f.Effects, fromEffect),
	}
	for _, t := range f.Summary.Terms {
		w.Terms = append(w.Terms, FactorTerm{Name: t.Name, Spread: t.Spread, LeftOutWith: []string{}})
	}
	if f.Matters == nil {
		return w
	}
	w.Scored, w.Folds, w.LogScore, w.BaseLogScore = true, f.Matters.Folds, f.Matters.LogScore, f.Matters.Base
	ordered := make([]FactorTerm, 0, len(w.Terms))
	for _, l := range f.Matters.Terms {
		for _, t := range w.Terms {
			if t.Name == l.Term {
				t.Drop, t.DropLow, t.DropHigh = l.Drop, l.Drop-z95*l.SE, l.Drop+z95*l.SE
				t.LeftOutWith = append(t.LeftOutWith, l.With...)
				ordered = append(ordered, t)
			}
		}
	}
	w.Terms = ordered
	return w
}

func fromEffect(e additive.Effect) FactorEffect {
	w := FactorEffect{Term: e.Term, Kind: "curve"}
	scale, logarithmic := 1.0, false
	switch {
	case e.Kind == additive.Constant:
		w.Kind = "levels"
	case e.Kind == additive.Offset:
		w.Kind, w.XLabel, w.YLabel, scale = "surface", "offset in x, mm", "offset in y, mm", 1000
	case e.Term == additive.OffsetX:
		w.XLabel, scale = "offset in x, mm", 1000
	case e.Term == additive.OffsetY:
		w.XLabel, scale = "offset in y, mm", 1000
	case e.Term == additive.ItemSize:
		w.XLabel, scale, logarithmic = "size of the item, mm", 1000, true
	case e.Term == additive.ItemMass:
		w.XLabel, scale, logarithmic = "mass of the item, g", 1000, true
	default:
		w.XLabel = "closing command, 0 to 1"
	}
	w.Points = each(e.Points, func(p additive.EffectPoint) FactorPoint {
		if logarithmic {
			p.X = math.Exp(p.X)
		}
		return FactorPoint{
			Level: p.Level, X: scale * orZero(p.X), Y: scale * orZero(p.Y), Trials: int(math.Round(orZero(p.Trials))),
			Effect: p.Mean, EffectLow: p.Low, EffectHigh: p.High, P: p.P, PLow: p.PLow, PHigh: p.PHigh,
		}
	})
	return w
}

func orZero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}
