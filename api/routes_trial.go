package api

import (
	"context"
	"net/http"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

type holderInput struct {
	Study  string `path:"study"`
	Holder string `query:"holder" required:"true" minLength:"1" maxLength:"120" doc:"Who asks: a rig's or a page's name, the same each time"`
}

type trialsInput struct {
	Study     string         `path:"study"`
	Hand      string         `query:"hand"`
	Item      string         `query:"item"`
	Setting   string         `query:"setting"`
	Strategy  string         `query:"strategy"`
	Block     int            `query:"block" minimum:"0" doc:"0: all blocks"`
	Reference optional[bool] `query:"reference" doc:"true: only reference trials; false: only others"`
	After     int64          `query:"after" minimum:"0" doc:"Only trials whose first entry comes after this number"`
	Limit     int            `query:"limit" minimum:"0" maximum:"100000" doc:"0: all"`
	Newest    bool           `query:"newest" doc:"Newest first"`
}

type logged struct {
	Status   int
	Location string `header:"Location"`
	Body     Trial
}

type inspected struct {
	Status int
	Body   Inspection
}

func (s *Server) trialRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/next", "next-run", "run", "Hand out the next planned run, kept for the holder until the lease ends", 200), func(ctx context.Context, in *holderInput) (*struct{ Body NextRun }, error) {
		n, err := s.lab.Next(ctx, domain.ID(in.Study), in.Holder)
		if err != nil {
			return nil, err
		}
		return &struct{ Body NextRun }{NextRun{
			Run: fromRun(n.Run, false), Hand: fromHand(n.Hand), Item: fromItem(n.Item), Setting: fromSetting(n.Setting), Strategy: fromStrategy(n.Strategy),
			LeaseUntil: n.Until, Left: n.Left, HoursLeft: tidy(n.SecondsLeft / hour), Cautions: n.Cautions,
		}}, nil
	})
	register(s, h, op(http.MethodDelete, "/studies/{study}/next", "give-back-run", "run", "Give the holder's run back", 204), func(ctx context.Context, in *holderInput) (*struct{}, error) {
		return nil, s.lab.GiveBack(ctx, domain.ID(in.Study), in.Holder)
	})
	post := op(http.MethodPost, "/studies/{study}/trials", "log-trial", "run", "Log a trial or a correction; answers 200 when the key was known and nothing new was stored", 201)
	post.BodyReadTimeout = -1
	register(s, h, post, func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Body  NewTrial
	}) (*logged, error) {
		n, err := in.Body.workflow()
		if err != nil {
			return nil, err
		}
		t, repeated, err := s.lab.Log(ctx, domain.ID(in.Study), n)
		if err != nil {
			return nil, err
		}
		out := &logged{Status: http.StatusCreated, Location: "/api/v1/studies/" + in.Study + "/trials/" + strconv.FormatInt(int64(t.ID), 10), Body: fromCounted(t)}
		if repeated {
			out.Status, out.Body.Repeated = http.StatusOK, true
		}
		return out, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/trials", "list-trials", "run", "The trials as they count now, in the order of their first entries", 200), func(ctx context.Context, in *trialsInput) (*struct{ Body TrialList }, error) {
		list, total, err := s.lab.Trials(ctx, domain.ID(in.Study), in.query())
		return &struct{ Body TrialList }{TrialList{Trials: each(list, fromCounted), Total: total}}, err
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/trials/{trial}", "get-trial", "run", "All that was ever entered about one trial", 200), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Trial int64  `path:"trial" minimum:"1" doc:"Number of any entry of the trial"`
	}) (*struct{ Body History }, error) {
		hist, err := s.lab.History(ctx, domain.ID(in.Study), domain.TrialID(in.Trial))
		return &struct{ Body History }{History{Entries: each(hist.Entries, fromEntry), Inspections: each(hist.Inspections, fromInspection), Counted: string(hist.Counted)}}, err
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/inspections", "log-inspection", "run", "Log a later look at an item; answers 200 when the key was known", 201), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Body  Inspection
	}) (*inspected, error) {
		b := in.Body
		got, repeated, err := s.lab.Inspect(ctx, domain.ID(in.Study), domain.Inspection{Trial: domain.TrialID(b.Trial), Key: b.Key, Finding: domain.Finding(b.Finding), Inspector: b.Inspector, Note: b.Note, SeenAt: b.SeenAt})
		if err != nil {
			return nil, err
		}
		out := &inspected{Status: http.StatusCreated, Body: fromInspection(got)}
		if repeated {
			out.Status = http.StatusOK
		}
		return out, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/progress", "get-progress", "run", "How the study goes", 200), func(ctx context.Context, in *studyInput) (*struct{ Body Progress }, error) {
		p, err := s.lab.Progress(ctx, domain.ID(in.Study))
		return &struct{ Body Progress }{fromProgress(p)}, err
	})
	s.trialFileRoutes(h)
}

func (in *trialsInput) query() workflow.TrialQuery {
	q := workflow.TrialQuery{Newest: in.Newest, Filter: domain.TrialFilter{
		Condition: domain.Condition{Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)},
		Block:     in.Block, After: domain.TrialID(in.After), Limit: in.Limit,
	}}
	if in.Reference.Given {
		q.Filter.Reference = &in.Reference.Value
	}
	return q
}
