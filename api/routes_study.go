package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

type studyInput struct {
	Study string `path:"study" doc:"The study's ID"`
}

type editStudyInput struct {
	Study   string `path:"study"`
	IfMatch string `header:"If-Match" doc:"The ETag of what you edit"`
	Body    Study
}

func showStudy(d domain.Study) *edited[Study] {
	return &edited[Study]{ETag: etag(d.Meta), Body: fromStudy(d)}
}

func fromPlan(p workflow.Plan) Plan {
	out := Plan{Summary: fromSummary(p.Summary), Runs: make([]PlannedRun, len(p.Runs))}
	for i, r := range p.Runs {
		out.Runs[i] = fromRun(r, p.Done[i])
	}
	return out
}

func (s *Server) studyRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies", "list-studies", "studies", "List the studies with how far they are", 200), func(ctx context.Context, _ *noInput) (*listOf[StudyRow], error) {
		rows, err := s.lab.Studies(ctx)
		return &listOf[StudyRow]{Body: each(rows, fromStudyRow)}, err
	})
	register(s, h, op(http.MethodPost, "/studies", "create-study", "studies", "Start a study as a draft", 201), func(ctx context.Context, in *createInput[Study]) (*edited[Study], error) {
		d, err := in.Body.domain()
		if err != nil {
			return nil, err
		}
		if d, err = s.lab.SaveStudy(ctx, d); err != nil {
			return nil, err
		}
		out := showStudy(d)
		out.Location = "/api/v1/studies/" + string(d.ID)
		return out, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}", "get-study", "studies", "Read one study", 200), func(ctx context.Context, in *studyInput) (*edited[Study], error) {
		d, err := s.lab.Study(ctx, domain.ID(in.Study))
		return showStudy(d), err
	})
	register(s, h, op(http.MethodPut, "/studies/{study}", "edit-study", "studies", "Edit one study", 200), func(ctx context.Context, in *editStudyInput) (*edited[Study], error) {
		rev, err := revision(in.IfMatch)
		if err != nil {
			return nil, err
		}
		d, err := in.Body.domain()
		if err != nil {
			return nil, err
		}
		if d.ID, err = sameID(in.Study, string(d.ID)); err != nil {
			return nil, err
		}
		d.Revision = rev
		d, err = s.lab.SaveStudy(ctx, d)
		return showStudy(d), err
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/plan", "draw-plan", "plan", "Draw up the plan from the stored seed", 200), func(ctx context.Context, in *studyInput) (*struct{ Body PlanSummary }, error) {
		sum, err := s.lab.DrawPlan(ctx, domain.ID(in.Study))
		return &struct{ Body PlanSummary }{fromSummary(sum)}, err
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/plan", "get-plan", "plan", "Read the plan with what is done of it", 200), func(ctx context.Context, in *studyInput) (*struct{ Body Plan }, error) {
		p, err := s.lab.Plan(ctx, domain.ID(in.Study))
		if err != nil {
			return nil, err
		}
		return &struct{ Body Plan }{fromPlan(p)}, nil
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/finish", "finish-study", "studies", "Close a running study", 200), func(ctx context.Context, in *studyInput) (*edited[Study], error) {
		d, err := s.lab.Finish(ctx, domain.ID(in.Study))
		return showStudy(d), err
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/reopen", "reopen-study", "studies", "Open a finished study again", 200), func(ctx context.Context, in *studyInput) (*edited[Study], error) {
		d, err := s.lab.Reopen(ctx, domain.ID(in.Study))
		return showStudy(d), err
	})
	register(s, h, op(http.MethodPost, "/design/orientations", "preview-orientations", "plan", "Which orientations a plan will try", 200), func(ctx context.Context, in *struct{ Body PreviewQuestion }) (*struct{ Body OrientationPreview }, error) {
		q := in.Body
		p, err := s.lab.PreviewOrientations(ctx, q.Plan.domain(), domain.ID(q.Hand), domain.ID(q.Item), domain.ID(q.Setting))
		return &struct{ Body OrientationPreview }{fromPreview(p)}, err
	})
	register(s, h, op(http.MethodPost, "/design/sample-size", "sample-size", "plan", "How many trials are needed", 200), func(_ context.Context, in *struct{ Body SampleSizeQuestion }) (*struct{ Body SampleSize }, error) {
		a, err := s.lab.SampleSize(workflow.SampleSizeQuestion(in.Body))
		if err != nil {
			return nil, err
		}
		return &struct{ Body SampleSize }{SampleSize{Trials: a.Trials, Text: a.Text, Methods: each(a.Methods, func(m workflow.SampleSizeMethod) SampleSizeRow { return SampleSizeRow(m) })}}, nil
	})
	s.planFileRoutes(h)
}
