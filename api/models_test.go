package api_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"holdfast/api"
	"holdfast/domain"
	"holdfast/examples"
	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
)

// describedScene is a shipped scene under the names of the tests' lab; grasping free is not described.
func describedScene(c domain.Condition) (*trialsim.Scene, error) {
	if c.Strategy == domain.StrategyFree {
		return nil, fmt.Errorf("strategies/free.yaml is not there")
	}
	s, err := scenes.ReadScene(examples.Scenes(), "roll-on-table-jaws.yaml")
	if err != nil {
		return nil, err
	}
	strategy, err := scenes.ReadStrategy(examples.Scenes(), "strategies/surface-guided.yaml")
	if err != nil {
		return nil, err
	}
	s.Scene.Strategy = *strategy
	return &s.Scene, nil
}

const modelCondition = "strategy=surface-guided"

func (b *bench) model() (m api.ModelInfo) {
	b.t.Helper()
	if err := json.Unmarshal(b.get("/studies/rolls/model?"+modelCondition), &m); err != nil {
		b.t.Fatal(err)
	}
	return m
}

// start begins a fit and says what the server answered.
func (b *bench) start(body string) int {
	b.t.Helper()
	res, err := http.Post(b.server.URL+"/api/v1/studies/rolls/model?"+modelCondition, "application/json", strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	res.Body.Close()
	return res.StatusCode
}

// ended waits for the end of the fit.
func (b *bench) ended() api.ModelInfo {
	b.t.Helper()
	for range 2400 {
		if m := b.model(); m.Running == nil {
			return m
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.t.Fatal("the fit does not end")
	return api.ModelInfo{}
}

func TestModelScenarios(t *testing.T) {
	b := stocked(t)
	csv := map[string]string{"Content-Type": "text/csv"}
	const at = "/studies/rolls/model"
	for _, s := range []scenario{
		{name: "nothing to fit to", method: "GET", url: at + "?" + modelCondition, status: 404, want: []string{"run some first"}},
		{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: csv, body: trialFile(120), status: 200, events: []string{"study", "trials"}},
		{name: "which condition", method: "GET", url: at, status: 422, want: []string{`"location":"query.strategy"`}},
		{name: "not described", method: "GET", url: at + "?strategy=free", status: 200, want: []string{`"simulable":false`, "strategies/free.yaml is not there"}},
		{name: "not described, asked all the same", method: "POST", url: at + "?strategy=free", body: `{"offsets_known":true}`, status: 409, want: []string{`"kind":"refused"`}},
		{name: "described", method: "GET", url: at + "?" + modelCondition, status: 200, want: []string{`"simulable":true`, `"name":"friction"`, `"usual":true`, `"budget":6000`}, not: []string{`"fit"`, `"running"`}},
		{name: "unknown quantity", method: "POST", url: at + "?" + modelCondition, body: `{"offsets_known":true,"quantities":[{"name":"luck","low":1,"high":2}]}`, status: 422, want: []string{`"location":"quantities[0].name"`, "luck"}},
		{name: "range the wrong way round", method: "POST", url: at + "?" + modelCondition, body: `{"offsets_known":true,"quantities":[{"name":"friction","low":2,"high":1}]}`, status: 422, want: []string{`"location":"quantities[0].low"`}},
		{name: "twice", method: "POST", url: at + "?" + modelCondition, body: `{"offsets_known":true,"quantities":[{"name":"friction","low":1,"high":2},{"name":"friction","low":1,"high":2}]}`, status: 422, want: []string{"asked for twice"}},
		{name: "bad seed", method: "POST", url: at + "?" + modelCondition, body: `{"offsets_known":true,"seed":"-1"}`, status: 422, want: []string{`"location":"seed"`}},
		{name: "small budget", method: "POST", url: at + "?" + modelCondition, body: `{"offsets_known":true,"budget":10}`, status: 422, want: []string{"budget"}},
		{name: "nothing to use", method: "PUT", url: at + "/use?" + modelCondition, body: `{"in_use":true}`, status: 404, want: []string{"fit one first"}},
		{name: "nothing to stop", method: "DELETE", url: at + "/fit?" + modelCondition, status: 404},
	} {
		b.run(s)
	}
}

func TestModelIsFittedKeptAndStandsBehindTheMap(t *testing.T) {
	b := stocked(t)
	b.run(scenario{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: trialFile(120), status: 200, events: []string{"study", "trials"}})
	const short = `{"offsets_known":true,"budget":500,"step_ms":4,"quantities":[{"name":"friction","low":0.2,"high":1.6},{"name":"position-error-mm","low":1,"high":15}]}`
	const long = `{"offsets_known":true,"budget":200000}`

	if status := b.start(long); status != 202 {
		t.Fatalf("start: %d", status)
	}
	if m := b.model(); m.Running == nil || m.Running.Budget != 200000 || m.Fit != nil {
		t.Errorf("a fit under way: %+v", m)
	}
	if status := b.start(short); status != 409 {
		t.Errorf("a second fit at the same time: %d", status)
	}
	req, _ := http.NewRequest(http.MethodDelete, b.server.URL+"/api/v1/studies/rolls/model/fit?"+modelCondition, nil)
	if res, err := http.DefaultClient.Do(req); err != nil || res.StatusCode != 204 {
		t.Fatalf("stop: %v, %v", res, err)
	}
	if m := b.model(); m.Running != nil || m.Failed != "" || m.Fit != nil {
		t.Errorf("a stopped fit: %+v", m)
	}

	if status := b.start(short); status != 202 {
		t.Fatalf("start: %d", status)
	}
	m := b.ended()
	f := m.Fit
	if f == nil {
		t.Fatalf("no fit: %s", m.Failed)
	}
	if m.Stale || f.Trials != 60 || f.Simulated != 500 || f.InUse || len(f.Quantities) != 2 || f.Quantities[0].Words == "" || f.Sentence == "" || f.TrialsSaved < 0 {
		t.Errorf("fit: %+v", f)
	}
	for i, q := range f.Quantities {
		if within := [][2]float64{{0.2, 1.6}, {1, 15}}[i]; !(within[0] <= q.Low && q.Low <= q.Mean && q.Mean <= q.High && q.High <= within[1] && q.PriorLow < q.PriorHigh) {
			t.Errorf("quantity %+v", q)
		}
	}
	trials, held := 0, 0
	for _, band := range f.Tilts {
		trials += band.Trials
		held += band.Held
		if !(band.ObservedLow <= band.Observed && band.Observed <= band.ObservedHigh && 0 <= band.ExpectedLow && band.ExpectedLow <= band.ExpectedHigh && band.ExpectedHigh <= 1) {
			t.Errorf("band %+v", band)
		}
	}
	if trials != f.Trials || held != f.Held || len(f.Tilts) != 2 || f.Tilts[1].FromDeg != 30 {
		t.Errorf("bands of %d trials, %d held: %+v", trials, held, f.Tilts)
	}
	if !slices.IsSortedFunc(f.Unlikely, func(x, y api.ModelUnlikely) int { return int(1e6 * (x.Chance - y.Chance)) }) || len(f.Unlikely) > 0 && f.Unlikely[0].Trial == 0 {
		t.Errorf("unlikely: %+v", f.Unlikely)
	}

	alone := string(b.get("/studies/rolls/map?" + modelCondition))
	choice := string(b.get("/studies/rolls/choice?" + modelCondition))
	if strings.Contains(alone, "stands behind this map") {
		t.Error("the map leans on a simulation that nobody chose")
	}
	b.run(scenario{name: "use", method: "PUT", url: "/studies/rolls/model/use?" + modelCondition, body: `{"in_use":true}`, status: 200, want: []string{`"in_use":true`}, events: []string{"model"}})
	if leaning := string(b.get("/studies/rolls/map?" + modelCondition)); !strings.Contains(leaning, "fitted to 60 of these trials stands behind this map") {
		t.Errorf("the map says nothing of the simulation behind it: %s", leaning)
	}
	if again := string(b.get("/studies/rolls/choice?" + modelCondition)); again != choice {
		t.Errorf("the choice leans on the simulation: %s, before %s", again, choice)
	}
	b.run(scenario{name: "no longer", method: "PUT", url: "/studies/rolls/model/use?" + modelCondition, body: `{"in_use":false}`, status: 200, want: []string{`"in_use":false`}, events: []string{"model"}})
	if again := string(b.get("/studies/rolls/map?" + modelCondition)); strings.Contains(again, "stands behind this map") {
		t.Error("the map still leans")
	}
	if status := b.start(strings.Replace(short, "{", `{"seed":"2",`, 1)); status != 202 {
		t.Errorf("a fit in the place of another: %d", status)
	}
	if m := b.ended(); m.Fit == nil || m.Fit.Seed != "2" || m.Failed != "" {
		t.Errorf("fitted again: %+v, %s", m.Fit, m.Failed)
	}
}
