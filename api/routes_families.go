package api

import (
	"context"
	"math"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

// familiesInput picks a family and the item of it that borrows.
type familiesInput struct {
	Study    string `path:"study"`
	Hand     string `query:"hand" doc:"May be left out when the study has one"`
	Item     string `query:"item" doc:"Any item of the catalogue; the study's item with fewest trials when left out"`
	Setting  string `query:"setting" doc:"May be left out when the study has one"`
	Strategy string `query:"strategy" doc:"May be left out when the study has one"`
}

func (in *familiesInput) query() workflow.FamilyQuery {
	return workflow.FamilyQuery{Study: domain.ID(in.Study), Condition: domain.Condition{
		Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)}}
}

func (s *Server) familyRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/families", "get-families", "families", "What an item borrows from those alike, and what that does to its estimate", 200), func(ctx context.Context, in *familiesInput) (*struct{ Body Families }, error) {
		f, err := s.lab.Family(ctx, in.query())
		if err != nil {
			return nil, err
		}
		return &struct{ Body Families }{fromFamily(f)}, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/families/scores", "get-family-scores", "families", "How well each item's trials are forecast without being shown, alone and with the family; events of the topic families say how far it is", 200), func(ctx context.Context, in *familiesInput) (*struct{ Body FamilyScores }, error) {
		f, err := s.lab.FamilyScores(ctx, in.query())
		if err != nil {
			return nil, err
		}
		return &struct{ Body FamilyScores }{fromFamilyScores(f)}, nil
	})
}

func fromFamily(f workflow.FamilyAnswer) Families {
	c := f.Condition
	return Families{
		Item: string(c.Item), Hand: string(c.Hand), Setting: string(c.Setting), Strategy: string(c.Strategy),
		Sentence: f.Sentence, Change: f.Change, Trials: f.Own, Held: f.Held, Worth: f.Worth, OwnShare: f.OwnShare, PRelated: f.Trust, FamilyWeight: f.Weight,
		Donors: each(f.Donors, func(d workflow.FamilyDonor) FamilyDonor {
			return FamilyDonor{string(d.Item), d.Trials, d.Likeness, d.Alike, d.Share}
		}),
		Members: each(f.Members, func(m workflow.FamilyMember) FamilyMember {
			return FamilyMember{string(m.Item), m.Trials, m.Held, append([]string{}, m.Missing...)}
		}),
		Surest: fromFamilyPoint(f.Surest), Section: each(f.Section, fromFamilyPoint),
		Mean:       FamilyMean{P: f.Mean.P, Width: f.Mean.High - f.Mean.Low, Alone: known(f.Mean.Alone), AloneWidth: known(f.Mean.AloneHigh - f.Mean.AloneLow)},
		TiltMaxDeg: angle(f.TiltMax), Studies: each(f.Studies, func(id domain.ID) string { return string(id) }), Level: workflow.IntervalLevel,
		Warnings: append([]string{}, f.Warnings...), Mark: f.Mark, Invented: f.Invented,
	}
}

func fromFamilyPoint(p workflow.FamilyPoint) FamilyPoint {
	return FamilyPoint{Orientation: fromRotation(p.Rotation), P: p.P, PLow: p.Low, PHigh: p.High, Alone: known(p.Alone), AloneLow: known(p.AloneLow), AloneHigh: known(p.AloneHigh)}
}

// known is nil for a number that is not there.
func known(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}

func fromFamilyScores(f workflow.FamilyScores) FamilyScores {
	return FamilyScores{Sentence: f.Sentence, Folds: f.Folds, Level: workflow.IntervalLevel, Mark: f.Mark, Invented: f.Invented,
		Scores: each(f.Scores, func(s workflow.FamilyScore) FamilyScore {
			w := FamilyScore{Item: string(s.Item), Trials: s.Trials, Note: s.Note}
			if s.Note == "" {
				low, high := s.Interval()
				w.Scored, w.BaseLoss, w.NewLoss, w.OwnLoss, w.WithLoss, w.Gain, w.GainLow, w.GainHigh = true, s.Base, known(s.New), s.Alone, s.With, s.Gain, low, high
			}
			return w
		})}
}
