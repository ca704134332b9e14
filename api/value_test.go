package api_test

import (
	"fmt"
	"strings"
	"testing"

	"holdfast/statistics/handset"
)

func TestValueScenarios(t *testing.T) {
	b := stocked(t)
	csv := map[string]string{"Content-Type": "text/csv"}
	match := func(tag string) map[string]string { return map[string]string{"If-Match": tag} }
	const figures = `{"value_per_good":0.4,"cost_damaged":1,"cost_failed":0.01,"cost_failed_by":{"stopped":2},"cost_person_item":0.05,"person_s":4,"item_s":0,"fail_s":1,"wait_s":2,"cycle_s":6,"demand_per_hour":400,"share":1,"target":0.8,"confidence":0.9,"retry":["same","next","person"],"retry_factor":1}`
	rows := trialFile(200)
	for _, s := range []scenario{
		{name: "no item named", method: "GET", url: "/economics/items/none", status: 404},
		{name: "not stated yet", method: "GET", url: "/economics/items/soft-roll", status: 200, want: []string{`"revision":0`, `"retry":["same","person"]`}},
		{name: "an edit says what it edits", method: "PUT", url: "/economics/items/soft-roll", body: figures, status: 428},
		{name: "no hand can be chosen without figures", method: "GET", url: "/handset?max_hands=1", status: 409, want: []string{"o item has its figures stated yet"}},
		{name: "a fault is told at its field", method: "PUT", url: "/economics/items/soft-roll", headers: match(`"0"`), body: strings.Replace(figures, `"person_s":4`, `"person_s":0`, 1), status: 422, want: []string{"person_s"}},
		{name: "state", method: "PUT", url: "/economics/items/soft-roll", headers: match(`"0"`), body: figures, status: 200, want: []string{`"revision":1`, `"stopped":2`}, events: []string{"economics"}},
		{name: "somebody was first", method: "PUT", url: "/economics/items/soft-roll", headers: match(`"0"`), body: figures, status: 412, want: []string{"meanwhile"}},
		{name: "edit", method: "PUT", url: "/economics/items/soft-roll", headers: match(`"1"`), body: figures, status: 200, want: []string{`"revision":2`}, events: []string{"economics"}},
		{name: "hand", method: "PUT", url: "/economics/hands/trefoil", headers: match(`"0"`), body: `{"price":1000,"life_h":1000,"life_picks":0,"change_s":60}`, status: 200, want: []string{`"price":1000`}, events: []string{"economics"}},
		{name: "a price needs a life", method: "PUT", url: "/economics/hands/trefoil", headers: match(`"1"`), body: `{"price":1000,"life_h":0,"life_picks":0,"change_s":60}`, status: 422, want: []string{"life_h"}},
		{name: "line", method: "PUT", url: "/economics/lines/line", headers: match(`"0"`), body: `{"currency":"CHF","line_per_hour":20,"standing_per_hour":50,"person_per_hour":30,"cycle_h":8}`, status: 200, want: []string{"CHF"}, events: []string{"economics"}},
		{name: "one line", method: "GET", url: "/economics/lines/other", status: 404},
		{name: "no code of a currency", method: "PUT", url: "/economics/lines/line", headers: match(`"1"`), body: `{"currency":"francs","line_per_hour":20,"standing_per_hour":50,"person_per_hour":30,"cycle_h":8}`, status: 422, want: []string{"currency"}},
		{name: "nothing tried", method: "GET", url: "/studies/rolls/value", status: 200, want: []string{`"rows":[]`, "There are no trials of this item yet."}},
		{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: csv, body: rows, status: 200, events: []string{"study", "trials"}},
		{name: "no such step", method: "GET", url: "/studies/rolls/value?retry=twice", status: 422},
		{name: "nothing follows the end", method: "GET", url: "/studies/rolls/value?retry=person,same", status: 422, want: []string{"no step can follow it"}},
		{name: "no hands", method: "GET", url: "/handset?max_hands=0", status: 422},
	} {
		t.Run(s.name, func(t *testing.T) { b.run(s) })
	}
	// The first look fits maps, whose progress is published as it comes.
	for url, want := range map[string][]string{
		"/studies/rolls/value?item=soft-roll": {`"currency":"CHF"`, `"attempts":["surface-guided","surface-guided","free"]`, `"break_even_success"`, `"shared_assumed":true`},
		"/studies/rolls/value?retry=leave":    {`"end":"leave"`, `"retry":["leave"]`},
		"/handset?max_hands=2":                {`"confidence":0.9`, `"item":"soft-roll"`, `"certificate":"`, `"curve":[`},
	} {
		body := string(b.get(url))
		for _, w := range want {
			if !strings.Contains(body, w) {
				t.Errorf("%s: the answer lacks %q: %s", url, w, short(body))
			}
		}
	}
	// More hands than can be weighed at once: those that no study tries on the items step back, and it is said.
	for n := range handset.MostHands {
		b.run(scenario{name: "hand", method: "POST", url: "/hands", body: strings.Replace(handBody, "Trefoil", fmt.Sprintf("Spare %d", n+1), 1), status: 201, events: []string{"hand"}})
	}
	body := string(b.get("/handset?max_hands=2"))
	for _, w := range []string{fmt.Sprintf("%d hands were never in a study of these items", handset.MostHands), `"item":"soft-roll"`} {
		if !strings.Contains(body, w) {
			t.Errorf("the answer lacks %q: %s", w, short(body))
		}
	}
	if strings.Contains(body, "Spare 1") {
		t.Error("a hand that was left out is offered")
	}
}
