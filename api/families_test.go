package api_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"holdfast/api"
)

// A second item with few trials in a study of its own borrows from the first; an item without trials may be asked for.
func TestFamilyScenarios(t *testing.T) {
	b := stocked(t)
	csv := map[string]string{"Content-Type": "text/csv"}
	const condition = "strategy=surface-guided"
	b.run(scenario{name: "nothing yet", method: "GET", url: "/studies/rolls/families?" + condition, status: 404, want: []string{"Nothing was tried with trefoil"}})
	b.run(scenario{name: "which strategy", method: "GET", url: "/studies/rolls/families", status: 422, want: []string{"query.strategy"}})
	b.run(scenario{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: csv, body: trialFile(400), status: 200, events: []string{"study", "trials"}})
	b.run(scenario{name: "no such item", method: "GET", url: "/studies/rolls/families?item=ghost&" + condition, status: 404})
	b.run(scenario{name: "no other item", method: "GET", url: "/studies/rolls/families?" + condition, status: 200, want: []string{"No other item was tried", `"donors":[]`}})

	bun := strings.NewReplacer("Soft roll", "Small bun", `"size_x_mm":90`, `"size_x_mm":80`, `"stiffness_N_per_mm":0.4`, `"stiffness_N_per_mm":0`).Replace(itemBody)
	b.run(scenario{name: "a second item", method: "POST", url: "/items", body: bun, status: 201, events: []string{"item"}})
	b.run(scenario{name: "asked without trials", method: "GET", url: "/studies/rolls/families?item=small-bun&" + condition, status: 200, want: []string{"no trials of its own", `"item":"soft-roll","trials":200`}, not: []string{"alone_p"}})
	study := strings.NewReplacer(`"name":"Rolls"`, `"name":"Buns"`, `"items":["soft-roll"]`, `"items":["small-bun"]`).Replace(studyBody)
	b.run(scenario{name: "its study", method: "POST", url: "/studies", body: study, status: 201, events: []string{"study"}})
	b.run(scenario{name: "its trials", method: "POST", url: "/studies/buns/import?name=t.csv", headers: csv, body: trialFile(40), status: 200, events: []string{"study", "trials"}})

	var f api.Families
	if err := json.Unmarshal([]byte(b.run(scenario{name: "families", method: "GET", url: "/studies/buns/families?" + condition, status: 200})), &f); err != nil {
		t.Fatal(err)
	}
	if f.Item != "small-bun" || f.Trials != 20 || len(f.Donors) != 1 || f.Donors[0].Item != "soft-roll" || f.Donors[0].Trials != 200 || f.Donors[0].Alike == "" || f.Level != 0.9 ||
		len(f.Studies) != 2 || !(f.Worth > 0 && f.OwnShare < 1) || f.Mean.AloneWidth == nil || !(f.Mean.Width < *f.Mean.AloneWidth) {
		t.Errorf("%+v", f)
	}
	if math.Abs(f.TiltMaxDeg-30) > 1e-6 || len(f.Section) < 10 || *f.Section[0].Orientation.TiltDeg != 0 || math.Abs(*f.Section[len(f.Section)-1].Orientation.TiltDeg-30) > 1e-6 {
		t.Errorf("section up to %g°: %+v", f.TiltMaxDeg, f.Section)
	}
	for _, p := range append(f.Section, f.Surest) {
		if !(0 < p.PLow && p.PLow <= p.P && p.P <= p.PHigh && p.PHigh < 1 && *p.AloneLow <= *p.Alone && *p.Alone <= *p.AloneHigh) {
			t.Errorf("out of order: %+v", p)
		}
	}
	missing := 0
	for _, w := range f.Warnings {
		if strings.Contains(w, "stiffness") {
			missing++
		}
	}
	if missing != 1 {
		t.Errorf("what is not known of the bun is not said once: %v", f.Warnings)
	}

	var s api.FamilyScores
	if err := json.Unmarshal(b.get("/studies/buns/families/scores?"+condition), &s); err != nil {
		t.Fatal(err)
	}
	if len(s.Scores) != 2 || s.Folds != 5 || s.Sentence == "" {
		t.Fatalf("%+v", s)
	}
	for _, one := range s.Scores {
		if !one.Scored || one.NewLoss == nil || math.Abs(one.Gain-(one.OwnLoss-one.WithLoss)) > 1e-12 || !(one.GainLow <= one.Gain && one.Gain <= one.GainHigh) {
			t.Errorf("%+v", one)
		}
	}
}
