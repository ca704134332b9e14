package api

import (
	"context"
	"net/http"
	"slices"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/mechanics/unknowns"
	"holdfast/statistics/simfit"
	"holdfast/workflow"
)

// ModelParams picks the condition whose simulation is meant. What a study has only one of can be left out. (It is exported
// because huma reads the parameters of an embedded struct only then.)
type ModelParams struct {
	Study    string `path:"study"`
	Hand     string `query:"hand" doc:"May be left out when the study has one"`
	Item     string `query:"item" doc:"May be left out when the study has one"`
	Setting  string `query:"setting" doc:"May be left out when the study has one"`
	Strategy string `query:"strategy" doc:"May be left out when the study has one"`
}

func (in *ModelParams) condition() domain.Condition {
	return domain.Condition{Hand: domain.ID(in.Hand), Item: domain.ID(in.Item), Setting: domain.ID(in.Setting), Strategy: domain.StrategyKind(in.Strategy)}
}

func (s *Server) modelRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/studies/{study}/model", "get-model", "model", "What the trials of one condition say about its simulation, and how far a fit is", 200), func(ctx context.Context, in *ModelParams) (*struct{ Body ModelInfo }, error) {
		return s.model(ctx, in)
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/model", "start-model-fit", "model", "Begin to fit the simulation to the trials of one condition", 202), func(ctx context.Context, in *struct {
		ModelParams
		Body ModelStart
	}) (*struct{ Body ModelInfo }, error) {
		q, err := s.modelQuery(ctx, &in.ModelParams, &in.Body)
		if err != nil {
			return nil, err
		}
		if err := s.lab.StartModelFit(ctx, q); err != nil {
			return nil, err
		}
		return s.model(ctx, &in.ModelParams)
	})
	register(s, h, op(http.MethodDelete, "/studies/{study}/model/fit", "stop-model-fit", "model", "Stop the fit that is under way; what was found before stays", 204), func(ctx context.Context, in *ModelParams) (*struct{}, error) {
		return nil, s.lab.StopModelFit(ctx, domain.ID(in.Study), in.condition())
	})
	register(s, h, op(http.MethodPut, "/studies/{study}/model/use", "use-model-fit", "model", "Use the fitted simulation as prior mean of the condition's map, or no longer", 200), func(ctx context.Context, in *struct {
		ModelParams
		Body ModelUse
	}) (*struct{ Body ModelInfo }, error) {
		if err := s.lab.UseModelFit(ctx, domain.ID(in.Study), in.condition(), in.Body.InUse); err != nil {
			return nil, err
		}
		return s.model(ctx, &in.ModelParams)
	})
}

func (s *Server) model(ctx context.Context, in *ModelParams) (*struct{ Body ModelInfo }, error) {
	state, err := s.lab.Model(ctx, domain.ID(in.Study), in.condition())
	if err != nil {
		return nil, err
	}
	out := ModelInfo{
		Condition: fromCondition(state.Condition), Quantities: []ModelQuantity{}, Budget: modelBudget(state.Condition.Trials), Elsewhere: state.Elsewhere, Failed: state.Failed,
		Fit: fromModelFit(state.Fit), Stale: state.Stale, Invented: state.Invented,
	}
	if p := state.Running; p != nil {
		out.Running = &ModelRunning{Stage: p.Stage, Simulated: p.Simulated, Budget: p.Budget, Seconds: s.lab.Clock.Now().Sub(p.Since).Seconds()}
	}
	scene, err := s.scene(state.Condition.Condition)
	if err != nil {
		out.Fault = err.Error()
		return &struct{ Body ModelInfo }{out}, nil
	}
	out.Simulable = true
	usual := len(unknowns.Usual())
	for i, q := range unknowns.All() {
		if low, high := q.Range(scene); low > 0 {
			out.Quantities = append(out.Quantities, ModelQuantity{q.Name, q.Words, tidy(low), tidy(high), i < usual})
		}
	}
	return &struct{ Body ModelInfo }{out}, nil
}

// scene finds the condition's scene.
func (s *Server) scene(c domain.Condition) (*trialsim.Scene, error) {
	if s.scenes == nil {
		return nil, domain.Errorf(domain.KindRefused, "this server was given no descriptions for simulation: start it with --scenes and a folder of them; docs/scenes.md says how to write some")
	}
	scene, err := s.scenes(c)
	if err != nil {
		return nil, domain.Errorf(domain.KindRefused, "the condition is not described for simulation: %v", err)
	}
	return scene, nil
}

// A fit takes about a hundred simulated trials for a bench trial, within bounds; common practice, no source.
func modelBudget(trials int) int { return min(max(100*trials, 2000), simfit.StandardBudget) }

// usualStepMs is the time step of fits: twice the usual one, because they take thousands of trials.
const usualStepMs = 2

func (s *Server) modelQuery(ctx context.Context, in *ModelParams, start *ModelStart) (q workflow.ModelQuery, err error) {
	state, err := s.lab.Model(ctx, domain.ID(in.Study), in.condition())
	if err != nil {
		return q, err
	}
	scene, err := s.scene(state.Condition.Condition)
	if err != nil {
		return q, err
	}
	var faults []domain.FieldError
	fail := func(field, value, reason string) {
		faults = append(faults, domain.FieldError{Field: field, Value: value, Reason: reason})
	}
	q.Study, q.Condition, q.Budget, q.Seed, q.OffsetsHidden = domain.ID(in.Study), state.Condition.Condition, start.Budget, 1, !start.OffsetsKnown
	if q.Budget == 0 {
		q.Budget = modelBudget(state.Condition.Trials)
	}
	if start.Seed != "" {
		if q.Seed, err = strconv.ParseUint(start.Seed, 10, 64); err != nil {
			fail("seed", start.Seed, "must be a whole number from 0 to 2^64 − 1")
		}
	}
	asked := start.Quantities
	if len(asked) == 0 {
		for _, u := range unknowns.Usual() {
			if low, high := u.Range(scene); low > 0 {
				asked = append(asked, ModelRange{u.Name, low, high})
			}
		}
	}
	what, parameters, faulty := rangesOf(scene, asked)
	faults = append(faults, faulty...)
	if err := gathered(faults).err("fit"); err != nil {
		return q, err
	}
	q.Parameters, q.Words = parameters, map[string]string{}
	for _, w := range what {
		q.Words[w.Name] = w.Words
	}
	step := start.StepMs
	if step == 0 {
		step = usualStepMs
	}
	trials, err := unknowns.NewTrials(scene, step/1e3, what)
	if err != nil {
		return q, domain.Errorf(domain.KindInvalid, "the condition can not be simulated: %v", err)
	}
	q.Simulate = func(_ context.Context, theta []float64, t workflow.SimulatedTrial, seed uint64) (bool, error) {
		r, err := trials.Run(theta, trialsim.Attempt{Orientation: t.Rotation, Closing: t.Closing, Seed: seed, Offset: [2]float64{t.Offset[0], t.Offset[1]}})
		return r.Outcome == trialsim.Held, err
	}
	return q, nil
}

// rangesOf finds the quantities asked for, and says what is wrong with them.
func rangesOf(scene *trialsim.Scene, asked []ModelRange) (what []unknowns.Quantity, parameters []simfit.Parameter, faults []domain.FieldError) {
	all := unknowns.All()
	for i, r := range asked {
		field := "quantities[" + strconv.Itoa(i) + "]"
		fail := func(at, value, reason string) {
			faults = append(faults, domain.FieldError{Field: field + at, Value: value, Reason: reason})
		}
		k := slices.IndexFunc(all, func(q unknowns.Quantity) bool { return q.Name == r.Name })
		switch {
		case k < 0:
			fail(".name", r.Name, "is no quantity that can be fitted")
			continue
		case slices.ContainsFunc(what, func(q unknowns.Quantity) bool { return q.Name == r.Name }):
			fail(".name", r.Name, "is asked for twice")
			continue
		case !(r.Low > 0 && r.Low < r.High):
			fail(".low", strconv.FormatFloat(r.Low, 'g', -1, 64), "must be above 0 and below high")
			continue
		}
		if err := all[k].Settable(scene, r.Low); err != nil {
			fail(".name", r.Name, "can not be set: "+err.Error())
			continue
		}
		what = append(what, all[k])
		parameters = append(parameters, simfit.Parameter{Name: r.Name, Min: r.Low, Max: r.High, Log: all[k].Logarithmic})
	}
	return what, parameters, faults
}
