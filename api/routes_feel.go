package api

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/mechanics/firsttouch"
	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
	"holdfast/workflow"
)

// FeelParams picks the hand that feels. (It is exported because huma reads the parameters of an embedded struct only then.)
type FeelParams struct {
	Hand string `path:"hand"`
}

// mostFeelBytes bounds a request with a table of guided trials.
const mostFeelBytes = 5 << 20

// What is asked unless a request says otherwise: the largest tilt (rad) and the closing command.
const (
	usualFeelTilt    = 20 * degree
	usualFeelClosing = 0.8
)

// inventedGuided and inventedGuidedSeed make the table to try.
const (
	inventedGuided     = 120
	inventedGuidedSeed = 1
)

func (s *Server) feelRoutes(h huma.API) {
	const tag = "feel"
	register(s, h, op(http.MethodGet, "/hands/{hand}/feel", "get-feel", tag, "How a hand's wrist should move by what is touched first, and how far the learning is", 200), func(ctx context.Context, in *FeelParams) (*struct{ Body FeelInfo }, error) {
		return s.feelInfo(ctx, domain.ID(in.Hand))
	})
	o := op(http.MethodPost, "/hands/{hand}/feel", "start-feel", tag, "Begin to learn it, in simulation or from guided trials", 202)
	o.MaxBodyBytes = mostFeelBytes
	register(s, h, o, func(ctx context.Context, in *struct {
		FeelParams
		Body FeelStart
	}) (*struct{ Body FeelInfo }, error) {
		q, err := s.feelQuery(domain.ID(in.Hand), &in.Body)
		if err != nil {
			return nil, err
		}
		if err := s.lab.StartFeel(ctx, q); err != nil {
			return nil, err
		}
		return s.feelInfo(ctx, q.Hand)
	})
	register(s, h, op(http.MethodDelete, "/hands/{hand}/feel/work", "stop-feel", tag, "Stop the learning that is under way; an earlier answer stays", 204), func(ctx context.Context, in *FeelParams) (*struct{}, error) {
		return nil, s.lab.StopFeel(ctx, domain.ID(in.Hand))
	})
	register(s, h, fileOp("/hands/{hand}/feel/strategy.yaml", "get-feel-strategy", tag, "The strategy that feels first, with its rule, as the command line reads it", "application/yaml"), func(_ context.Context, in *FeelParams) (*file, error) {
		a := s.lab.Feel(domain.ID(in.Hand)).Answer
		if a == nil || a.Strategy == nil {
			return nil, domain.Errorf(domain.KindNotFound, "hand %q has no strategy that feels first yet: let it learn in a condition first", in.Hand)
		}
		return download("application/yaml", in.Hand+"-feels-first.yaml", scenes.WriteStrategy(a.Strategy, feelNote(a))), nil
	})
	register(s, h, op(http.MethodGet, "/hands/{hand}/feel/invented", "get-invented-guided", tag, "A table of guided trials that nobody made, to try", 200), func(ctx context.Context, in *FeelParams) (*struct{ Body FeelTable }, error) {
		hand, err := s.feelHand(ctx, domain.ID(in.Hand))
		if err != nil {
			return nil, err
		}
		var b strings.Builder
		if err := firsttouch.WriteGuided(&b, firsttouch.Invent(hand, inventedGuided, inventedGuidedSeed)); err != nil {
			return nil, err
		}
		return &struct{ Body FeelTable }{FeelTable{b.String()}}, nil
	})
}

// feelNote says in the strategy's file where its rule comes from.
func feelNote(a *workflow.FeelAnswer) string {
	from := fmt.Sprintf("%d simulated trials with items off by %g mm, seed %d", a.Report.Learnt, a.Report.PlacementMM, a.Task.Seed)
	if a.Guided != nil {
		from = fmt.Sprintf("%d guided trials that held", a.Report.Touched)
	}
	return fmt.Sprintf("Learnt from %s: %s with %s in %s, %s. %s", from, a.Condition.Hand, a.Condition.Item, a.Condition.Setting, a.Condition.Strategy, a.Report.Sentence)
}

// feelHand is the hand as any of its conditions, or else a description under its name, has it.
func (s *Server) feelHand(ctx context.Context, id domain.ID) (*trialsim.Hand, error) {
	list, err := s.lab.FeelConditions(ctx, id)
	if err != nil {
		return nil, err
	}
	for _, c := range list {
		if scene, err := s.scene(c.Condition); err == nil {
			return &scene.Hand, nil
		}
	}
	d, err := s.described(string(id))
	if err != nil {
		return nil, err
	}
	return d.Hand, nil
}

// feelScene is the scene of a condition whose strategy has something to feel by.
func (s *Server) feelScene(c domain.Condition) (*trialsim.Scene, error) {
	scene, err := s.scene(c)
	if err != nil {
		return nil, err
	}
	if _, err := firsttouch.NewFeeling(&scene.Strategy); err != nil {
		return nil, domain.Errorf(domain.KindRefused, "the strategy can not feel first: %v", err)
	}
	return scene, nil
}

func (s *Server) feelQuery(hand domain.ID, in *FeelStart) (q workflow.FeelQuery, err error) {
	q.Hand, q.GuidedName = hand, fileName(in.GuidedName, "")
	q.Task = firsttouch.Task{
		Learn: in.Learn, Test: in.Test, Placement: in.PlacementMM * mm, TiltMax: usualFeelTilt, Closing: usualFeelClosing, Seed: 1, Direction: in.Direction,
	}
	if in.TiltMaxDeg != nil {
		q.Task.TiltMax = *in.TiltMaxDeg * degree
	}
	if in.Closing != nil {
		q.Task.Closing = *in.Closing
	}
	if in.Seed != "" {
		if q.Task.Seed, err = strconv.ParseUint(in.Seed, 10, 64); err != nil {
			return q, domain.Errorf(domain.KindInvalid, "seed %q must be a whole number from 0 to 2^64 − 1", in.Seed)
		}
	}
	if in.Guided != "" {
		if q.Guided, err = firsttouch.ReadGuided(strings.NewReader(in.Guided)); err != nil {
			return q, fileFault("guided", err)
		}
		if in.Direction && !q.Guided.HasDirection {
			return q, domain.Errorf(domain.KindInvalid, "guided: there is no column direction_deg for the rule to go by")
		}
	}
	named := 0
	for _, part := range []string{in.Item, in.Setting, in.Strategy} {
		if part != "" {
			named++
		}
	}
	switch {
	case named == 0 && q.Guided != nil:
		q.Task.Test = 0
		return q, nil
	case named < 3:
		return q, domain.Errorf(domain.KindInvalid, "name item, setting and strategy of the condition; only with a table of guided trials all three may be left out")
	}
	q.Condition = domain.Condition{Hand: hand, Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)}
	scene, err := s.feelScene(q.Condition)
	if err != nil {
		return q, err
	}
	q.Task.Scene = scene
	if q.Guided != nil {
		if err := q.Guided.Check(&scene.Hand); err != nil {
			return q, fileFault("guided", err)
		}
	}
	return q, nil
}

func (s *Server) feelInfo(ctx context.Context, hand domain.ID) (*struct{ Body FeelInfo }, error) {
	list, err := s.lab.FeelConditions(ctx, hand)
	if err != nil {
		return nil, err
	}
	state := s.lab.Feel(hand)
	out := FeelInfo{Conditions: []FeelCondition{}, Elsewhere: state.Elsewhere, Failed: state.Failed, Answer: fromFeelAnswer(state.Answer)}
	for _, c := range list {
		told := FeelCondition{
			Item: string(c.Item), Setting: string(c.Setting), Strategy: string(c.Strategy), Study: string(c.Study), Closing: c.Closing,
			TiltMaxDeg: angle(c.TiltMax), Simulable: true,
		}
		if _, err := s.feelScene(c.Condition); err != nil {
			told.Simulable, told.Fault = false, err.Error()
		}
		out.Conditions = append(out.Conditions, told)
	}
	if p := state.Running; p != nil {
		out.Running = &FeelRunning{Stage: p.Stage, Done: p.Done, Of: p.Of, Seconds: s.lab.Clock.Now().Sub(p.Since).Seconds()}
	}
	return &struct{ Body FeelInfo }{out}, nil
}
