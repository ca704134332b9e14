package api_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"holdfast/api"
	"holdfast/scenes"
)

const feelAt = "/hands/trefoil/feel"

func (b *bench) feel() (f api.FeelInfo) {
	b.t.Helper()
	if err := json.Unmarshal(b.get(feelAt), &f); err != nil {
		b.t.Fatal(err)
	}
	return f
}

// learn sends a request whose work goes on beside it, and so events at any moment; it returns the answer.
func (b *bench) learn(method, url, body string, status int) string {
	b.t.Helper()
	req, err := http.NewRequest(method, b.server.URL+"/api/v1"+url, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != status {
		b.t.Fatalf("%s %s: %d, want %d: %s %v", method, url, res.StatusCode, status, text, err)
	}
	return string(text)
}

// felt waits for the end of the learning.
func (b *bench) felt() api.FeelInfo {
	b.t.Helper()
	for range 2400 {
		if f := b.feel(); f.Running == nil {
			return f
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.t.Fatal("the learning does not end")
	return api.FeelInfo{}
}

const feelCondition = `"item":"soft-roll","setting":"open-table","strategy":"surface-guided"`

func TestFeelScenarios(t *testing.T) {
	b := stocked(t)
	wrong, _ := json.Marshal("finger,move_x_mm,move_y_mm,outcome\n1,1,1,held\n1,1,far,held\n")
	other, _ := json.Marshal("finger,move_x_mm,move_y_mm,outcome\n7,1,1,held\n")
	for _, s := range []scenario{
		{name: "unknown hand", method: "GET", url: "/hands/paw/feel", status: 404},
		{name: "conditions", method: "GET", url: feelAt, status: 200, want: []string{`"simulable":true`, `"simulable":false`, "strategies/free.yaml is not there", `"strategy":"surface-guided"`}, not: []string{`"answer"`, `"running"`}},
		{name: "neither table nor condition", method: "POST", url: feelAt, body: `{}`, status: 422, want: []string{"Name item, setting and strategy"}},
		{name: "half a condition", method: "POST", url: feelAt, body: `{"item":"roll"}`, status: 422, want: []string{"Name item, setting and strategy"}},
		{name: "not described", method: "POST", url: feelAt, body: `{"item":"soft-roll","setting":"open-table","strategy":"free"}`, status: 409, want: []string{"not described"}},
		{name: "few trials", method: "POST", url: feelAt, body: `{` + feelCondition + `,"learn":5}`, status: 422, want: []string{"learn"}},
		{name: "no placement error", method: "POST", url: feelAt, body: `{` + feelCondition + `,"placement_mm":-1}`, status: 422, want: []string{"placement_mm"}},
		{name: "seed", method: "POST", url: feelAt, body: `{` + feelCondition + `,"seed":"x"}`, status: 422, want: []string{"Seed"}},
		{name: "table with a fault", method: "POST", url: feelAt, body: `{"guided":` + string(wrong) + `}`, status: 422, want: []string{"Guided: row 3, column move_y_mm: must be a number"}},
		{name: "table without directions", method: "POST", url: feelAt, body: `{"guided":` + string(other) + `,"direction":true}`, status: 422, want: []string{"no column direction_deg"}},
		{name: "table of another hand", method: "POST", url: feelAt, body: `{"guided":` + string(other) + `,` + feelCondition + `}`, status: 422, want: []string{"row 2, column finger: the hand has 2 fingers"}},
		{name: "nothing to stop", method: "DELETE", url: feelAt + "/work", status: 404},
		{name: "nothing to download", method: "GET", url: feelAt + "/strategy.yaml", status: 404, want: []string{"let it learn"}},
	} {
		b.run(s)
	}
}

func TestHandLearnsStopsAndLearnsAgain(t *testing.T) {
	b := stocked(t)
	if text := b.learn("POST", feelAt, `{`+feelCondition+`,"learn":20000}`, 202); !strings.Contains(text, `"of":20600`) {
		t.Errorf("a long one under way: %s", text)
	}
	b.learn("POST", feelAt, `{`+feelCondition+`}`, 409)
	b.learn("DELETE", feelAt+"/work", "", 204)
	if f := b.feel(); f.Running != nil || f.Failed != "" || f.Answer != nil {
		t.Errorf("stopped: %+v", f)
	}
	b.learn("POST", feelAt, `{`+feelCondition+`,"learn":60,"test":20,"tilt_max_deg":0,"closing":0.7,"direction":true}`, 202)
	f := b.felt()
	a := f.Answer
	if a == nil {
		t.Fatalf("no answer: %s", f.Failed)
	}
	if a.From != "simulated" || !a.Tried || a.Gain == nil || a.Gain.Trials != 20 || a.Trials != 60 || a.PlacementMM != 15 || a.TiltMaxDeg != 0 || a.Closing != 0.7 || len(a.Rule) == 0 || a.Guided != nil || !a.ByDirection || a.Rule[0].LessMM == a.Rule[0].MoreMM {
		t.Errorf("%+v", a)
	}
	if g := a.Gain; g.Both+g.OnlyWith+g.OnlyOwn+g.Neither != 20 || !(g.Low <= g.Gain && g.Gain <= g.High) || (g.Verdict == "helps") != (g.Low > 0) {
		t.Errorf("%+v", g)
	}
	if a.Hand == nil || len(a.Hand.Fingers) != 2 || len(a.Hand.Links) < 2 || a.Hand.Links[0].RadiusMM == 0 {
		t.Errorf("the hand to draw: %+v", a.Hand)
	}
	text := b.get(feelAt + "/strategy.yaml")
	s, err := scenes.ReadStrategy(fstest.MapFS{"f": {Data: text}}, "f")
	if err != nil || !strings.HasSuffix(s.Kind, "-feeling") || !strings.Contains(string(text), "60 simulated trials") {
		t.Errorf("%v\n%s", err, text)
	}
}

func TestGuidedTableTeaches(t *testing.T) {
	b := stocked(t)
	var table api.FeelTable
	if err := json.Unmarshal(b.get(feelAt+"/invented"), &table); err != nil {
		t.Fatal(err)
	}
	for _, condition := range []string{"", `,"test":20,` + feelCondition} {
		text, _ := json.Marshal(table.Guided)
		b.learn("POST", feelAt, fmt.Sprintf(`{"guided":%s,"guided_name":"C:\\mine.csv"%s}`, text, condition), 202)
		a := b.felt().Answer
		if a == nil || a.From != "guided" || a.GuidedName != "mine.csv" || a.Guided == nil || a.Guided.Trials != 120 || a.Guided.NotHeld == 0 || len(a.How) != 2 {
			t.Fatalf("%+v", a)
		}
		if tried := condition != ""; a.Tried != tried || (a.Gain != nil) != tried || (a.Hand != nil) != tried {
			t.Errorf("tried %t: %+v", tried, a)
		}
	}
	few, _ := json.Marshal("finger,move_x_mm,move_y_mm,outcome\n1,1,1,held\n")
	b.learn("POST", feelAt, `{"guided":`+string(few)+`}`, 202)
	if f := b.felt(); !strings.Contains(f.Failed, "of 1 guided trials 0 ended held") || f.Answer == nil {
		t.Errorf("%+v", f)
	}
	b.learn("GET", "/hands/paw/feel/invented", "", 404)
}
