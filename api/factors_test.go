package api_test

import (
	"encoding/json"
	"testing"

	"holdfast/api"
)

func TestFactorScenarios(t *testing.T) {
	b := stocked(t)
	b.run(scenario{name: "nothing yet", method: "GET", url: "/studies/rolls/factors", status: 404, want: []string{"no trials to learn from"}})
	b.run(scenario{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: trialFile(400), status: 200, events: []string{"study", "trials"}})
	b.run(scenario{name: "no such study", method: "GET", url: "/studies/none/factors", status: 404})
	var f api.Factors
	if err := json.Unmarshal([]byte(b.run(scenario{name: "factors", method: "GET", url: "/studies/rolls/factors", status: 200})), &f); err != nil {
		t.Fatal(err)
	}
	if f.Trials != 400 || !f.Scored || len(f.Terms) == 0 || len(f.Effects) == 0 || f.Level != 0.9 {
		t.Errorf("%+v", f)
	}
	for i, term := range f.Terms {
		if i > 0 && term.Drop > f.Terms[i-1].Drop || term.DropLow > term.Drop || term.Drop > term.DropHigh {
			t.Errorf("term %d out of order: %+v", i, term)
		}
	}
	for _, e := range f.Effects {
		for _, p := range e.Points {
			if !(0 < p.PLow && p.PLow <= p.P && p.P <= p.PHigh && p.PHigh < 1) {
				t.Errorf("%s: %+v", e.Term, p)
			}
		}
	}
}
