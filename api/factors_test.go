package api_test

import (
	"encoding/json"
	"math"
	"strings"
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

// Two items of other size, mass and symmetry in one model.
func TestFactorsOfTwoItems(t *testing.T) {
	b := stocked(t)
	long := strings.NewReplacer("Soft roll", "Éclair", `"size_x_mm":90`, `"size_x_mm":130`, `"mass_g":55`, `"mass_g":80`, `"fold":2`, `"fold":1`).Replace(itemBody)
	b.run(scenario{name: "second item", method: "POST", url: "/items", body: long, status: 201, want: []string{`"id":"eclair"`}, events: []string{"item"}})
	both := strings.NewReplacer(`"Rolls"`, `"Both"`, `["soft-roll"]`, `["soft-roll","eclair"]`).Replace(studyBody)
	b.run(scenario{name: "study of both", method: "POST", url: "/studies", body: both, status: 201, want: []string{`"id":"both"`}, events: []string{"study"}})
	lines := strings.Split(strings.TrimSpace(trialFile(240)), "\n")
	for i, item := range []string{"item", "soft-roll", "eclair"} {
		for k := i; k < len(lines); k++ {
			if i > 0 && k%2 != i%2 || i == 0 && k > 0 {
				continue
			}
			lines[k] = item + "," + lines[k]
		}
	}
	b.run(scenario{name: "import", method: "POST", url: "/studies/both/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: strings.Join(lines, "\n") + "\n", status: 200, events: []string{"study", "trials"}})
	read := func(query string) (f api.Factors) {
		t.Helper()
		if err := json.Unmarshal([]byte(b.run(scenario{name: "factors" + query, method: "GET", url: "/studies/both/factors" + query, status: 200, want: []string{"differ in symmetry"}})), &f); err != nil {
			t.Fatal(err)
		}
		return f
	}
	largest := func(f api.Factors, term string) float64 {
		for _, e := range f.Effects {
			if e.Term == term {
				return e.Points[len(e.Points)-1].X
			}
		}
		return 0
	}
	plain := read("")
	if !plain.Offered || plain.ItemFeatures || largest(plain, "item_mass") != 0 {
		t.Errorf("offered %t, among the terms %t: %+v", plain.Offered, plain.ItemFeatures, plain.Terms)
	}
	f := read("?item_features=true")
	if !f.ItemFeatures || math.Abs(largest(f, "item_mass")-80) > 1e-9 || math.Abs(largest(f, "item_size")-math.Cbrt(130*70*45)) > 1e-9 {
		t.Errorf("up to %g g and %g mm", largest(f, "item_mass"), largest(f, "item_size"))
	}
	b.run(scenario{name: "weighed again", method: "PUT", url: "/items/eclair", body: strings.Replace(long, `"mass_g":80`, `"mass_g":95`, 1), headers: map[string]string{"If-Match": `"1"`}, status: 200, events: []string{"item"}})
	if f = read("?item_features=true"); math.Abs(largest(f, "item_mass")-95) > 1e-9 {
		t.Errorf("after the éclair was weighed again, masses still go up to %g g", largest(f, "item_mass"))
	}
	b.run(scenario{name: "one item only", method: "GET", url: "/studies/both/factors?item=eclair&item_features=true", status: 422, want: []string{"same size and mass"}})
}
