package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/workflow"
)

// toleranceInput asks how large errors one condition stands.
type toleranceInput struct {
	Study      string            `path:"study"`
	Hand       string            `query:"hand" doc:"May be left out when the study has one"`
	Item       string            `query:"item" doc:"May be left out when the study has one"`
	Setting    string            `query:"setting" doc:"May be left out when the study has one"`
	Strategy   string            `query:"strategy" doc:"May be left out when the study has one"`
	Target     float64           `query:"target" minimum:"0" maximum:"0.9999" doc:"Success asked for; the study's when left out"`
	PositionMM optional[float64] `query:"position_mm" minimum:"0" maximum:"100" doc:"Placement error, standard deviation along each axis; the line's when left out"`
	AngleDeg   optional[float64] `query:"angle_deg" minimum:"0" maximum:"60" doc:"Orientation error, root mean square; the line's when left out"`
	TiltDeg    optional[float64] `query:"tilt_deg" minimum:"0" maximum:"180" doc:"With azimuth_deg and roll_deg: where the hand is sent; the middle of the best region when left out"`
	AzimuthDeg float64           `query:"azimuth_deg" minimum:"-360" maximum:"360"`
	RollDeg    float64           `query:"roll_deg" minimum:"-360" maximum:"360"`
}

func (s *Server) toleranceRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/tolerance", "get-tolerance", "tolerance", "How large errors of placement and orientation one condition stands", 200), func(ctx context.Context, in *toleranceInput) (*struct{ Body Tolerance }, error) {
		q := workflow.ToleranceQuery{
			Study: domain.ID(in.Study), Target: in.Target,
			Condition: domain.Condition{Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)},
		}
		if in.PositionMM.Given {
			v := in.PositionMM.Value * mm
			q.Position = &v
		}
		if in.AngleDeg.Given {
			v := in.AngleDeg.Value * degree
			q.Angle = &v
		}
		if in.TiltDeg.Given {
			r := orient.FromApproach(orient.Approach{Tilt: in.TiltDeg.Value * degree, Azimuth: in.AzimuthDeg * degree, Roll: in.RollDeg * degree})
			q.At = &r
		}
		t, err := s.lab.Tolerance(ctx, q)
		if err != nil {
			return nil, err
		}
		return &struct{ Body Tolerance }{fromTolerance(t)}, nil
	})
}

func fromTolerance(t workflow.Tolerance) Tolerance {
	const toDeg, toMM = 1 / degree, 1 / mm
	out := Tolerance{
		Condition: fromCondition(t.Condition), Orientation: fromRotation(t.Nominal), Closing: t.Closing, Target: t.Target, LineError: fromLineError(t.Line),
		Sentence: t.Sentence, Tolerated: t.Tolerated, Stated: fromToleranceValue(t.Stated),
		LargestMultiple:   ToleranceLimit{t.Multiple.Largest, t.Multiple.Ends},
		LargestPositionMM: ToleranceLimit{t.PositionOnly.Largest * toMM, t.PositionOnly.Ends},
		LargestAngleDeg:   ToleranceLimit{t.AngleOnly.Largest * toDeg, t.AngleOnly.Ends},
		Frontier: each(t.Frontier, func(c workflow.ToleranceCorner) ToleranceCorner {
			return ToleranceCorner{c.Position * toMM, c.Angle * toDeg, c.Ends}
		}),
		Warnings: t.Warnings, Mark: t.Mark, Invented: t.Invented,
	}
	f := &out.Surface
	for i, v := range t.Grid {
		if i < t.Positions {
			f.PositionsMM = append(f.PositionsMM, v.Position*toMM)
		}
		if i%t.Positions == 0 {
			f.AnglesDeg = append(f.AnglesDeg, v.Angle*toDeg)
		}
		f.P, f.PLow, f.PHigh = append(f.P, v.P), append(f.PLow, v.Low), append(f.PHigh, v.High)
		f.PTarget, f.UntriedShare = append(f.PTarget, v.Reaches), append(f.UntriedShare, v.Untried)
	}
	return out
}

func fromToleranceValue(v workflow.ToleranceValue) ToleranceValue {
	return ToleranceValue{PositionMM: v.Position / mm, AngleDeg: v.Angle / degree, P: v.P, PLow: v.Low, PHigh: v.High, PTarget: v.Reaches, UntriedShare: v.Untried}
}
