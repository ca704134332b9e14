package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

// CompareParams picks two levels of a factor. (It is exported because huma reads the parameters of an embedded struct only
// then.)
type CompareParams struct {
	Study    string `path:"study"`
	By       string `query:"by" required:"true" enum:"strategy,hand,item,setting" doc:"What is compared"`
	A        string `query:"a" required:"true"`
	B        string `query:"b" required:"true"`
	Hand     string `query:"hand" doc:"Only with this hand; empty: all"`
	Item     string `query:"item" doc:"Only this item; empty: all"`
	Setting  string `query:"setting" doc:"Only this setting; empty: all"`
	Strategy string `query:"strategy" doc:"Only by this strategy; empty: all"`
}

func (in *CompareParams) query() workflow.CompareQuery {
	return workflow.CompareQuery{
		Study: domain.ID(in.Study), By: in.By, A: in.A, B: in.B,
		Condition: domain.Condition{Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)},
	}
}

type judged struct {
	Status int
	Body   Judgement
}

func (s *Server) compareRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/comparison", "get-comparison", "compare", "How two levels of a factor compare, as the study was run", 200), func(ctx context.Context, in *struct {
		CompareParams
		Unit      string  `query:"unit" enum:"whole plots,blocks,pairs,trials" doc:"What counts as one observation; left out: what the plan asks for"`
		NoWorseBy float64 `query:"no_worse_by" default:"0.02" exclusiveMinimum:"0" exclusiveMaximum:"1" doc:"Margin of no worse, as a share of 1"`
	}) (*struct{ Body Comparison }, error) {
		q := in.query()
		q.Unit, q.NoWorseBy = workflow.Unit(in.Unit), in.NoWorseBy
		c, err := s.lab.Compare(ctx, q)
		if err != nil {
			return nil, err
		}
		return &struct{ Body Comparison }{fromComparison(c)}, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/comparison/maps", "get-comparison-maps", "compare", "Where the success map of one level is clearly better than the other's", 200), func(ctx context.Context, in *struct {
		CompareParams
		BlurDeg optional[float64] `query:"blur_deg" minimum:"0" maximum:"90" doc:"Root mean square turn between asked and actual hand orientation; the study's line error when left out"`
	}) (*struct{ Body MapsComparison }, error) {
		q := in.query()
		if in.BlurDeg.Given {
			blur := in.BlurDeg.Value * degree
			q.Blur = &blur
		}
		m, err := s.lab.CompareMaps(ctx, q)
		if err != nil {
			return nil, err
		}
		return &struct{ Body MapsComparison }{fromMapsComparison(m)}, nil
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/judgements", "log-judgement", "judge", "Log how somebody says that a trial ended; answers 200 when the key was known", 201), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Body  Judgement
	}) (*judged, error) {
		got, repeated, err := s.lab.Judge(ctx, domain.ID(in.Study), in.Body.domain())
		if err != nil {
			return nil, err
		}
		out := &judged{Status: http.StatusCreated, Body: fromJudgement(got)}
		if repeated {
			out.Status = http.StatusOK
		}
		return out, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/judgements", "list-judgements", "judge", "All judgements, oldest first", 200), func(ctx context.Context, in *studyInput) (*listOf[Judgement], error) {
		list, err := s.lab.Judgements(ctx, domain.ID(in.Study))
		return &listOf[Judgement]{Body: each(list, fromJudgement)}, err
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/unjudged", "list-unjudged", "judge", "Trials that a judge has not judged, without their outcomes", 200), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Judge string `query:"judge" required:"true" minLength:"1" maxLength:"120" doc:"Who judges"`
		Limit int    `query:"limit" minimum:"0" maximum:"1000" default:"20" doc:"0: all"`
	}) (*struct{ Body ToJudge }, error) {
		list, left, err := s.lab.ToJudge(ctx, domain.ID(in.Study), in.Judge, in.Limit)
		return &struct{ Body ToJudge }{ToJudge{Trials: each(list, fromBlind), Left: left}}, err
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/agreement", "get-agreement", "judge", "How far the record and the judges agree, and which trials to look at again", 200), func(ctx context.Context, in *studyInput) (*struct{ Body Agreement }, error) {
		a, err := s.lab.Agreement(ctx, domain.ID(in.Study))
		if err != nil {
			return nil, err
		}
		return &struct{ Body Agreement }{fromAgreement(a)}, nil
	})
}
