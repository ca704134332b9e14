package api_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"holdfast/api"
)

func TestNextTrialsScenarios(t *testing.T) {
	b := stocked(t)
	next := func(query string) (n api.NextTrials) {
		t.Helper()
		if err := json.Unmarshal([]byte(b.run(scenario{name: "next " + query, method: "GET", url: "/studies/rolls/next-trials" + query, status: 200})), &n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	first := next("?trials=6")
	if first.Known || len(first.Runs) == 0 || !strings.Contains(first.Text, "no trials") {
		t.Fatalf("without trials: %+v", first)
	}
	for _, s := range []scenario{
		{name: "no such study", method: "GET", url: "/studies/nothing/next-trials", status: 404},
		{name: "too many", method: "GET", url: "/studies/rolls/next-trials?trials=201", status: 422},
		{name: "plan seen wrongly", method: "POST", url: "/studies/rolls/next-trials", body: `{"plan_end":99}`, status: 409, want: []string{"look at it again"}},
		{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: trialFile(300), status: 200, events: []string{"study", "trials"}},
	} {
		t.Run(s.name, func(t *testing.T) { b.t = t; b.run(s) })
	}
	b.t = t
	n := next("?trials=6&history=true")
	if !n.Known || n.Trials != 300 || n.LossUnit != "success" || len(n.Choices) != 1 || n.Choices[0].Orientation == nil || !(n.Loss.Low <= n.Loss.Expected && n.Loss.Expected <= n.Loss.High) {
		t.Fatalf("with trials: %+v", n)
	}
	if last := n.History[len(n.History)-1]; len(n.History) < 8 || last.Trials != 300 || last.Expected > n.History[0].Expected {
		t.Errorf("history %+v", n.History)
	}
	placed := 0
	for i, r := range n.Runs {
		if r.Order != n.PlanEnd+i+1 || r.Why == "" {
			t.Errorf("run %+v", r)
		}
		if !r.Reference {
			placed++
		}
	}
	if placed != 6 {
		t.Errorf("%d runs beside references, asked 6", placed)
	}

	body := fmt.Sprintf(`{"trials":6,"plan_end":%d}`, n.PlanEnd)
	added := b.run(scenario{name: "add", method: "POST", url: "/studies/rolls/next-trials", body: body, status: 201, want: []string{`"why":"`}, events: []string{"study"}})
	b.run(scenario{name: "add twice", method: "POST", url: "/studies/rolls/next-trials", body: body, status: 409})
	var stored api.NextTrials
	if err := json.Unmarshal([]byte(added), &stored); err != nil {
		t.Fatal(err)
	}
	var plan api.Plan
	if err := json.Unmarshal([]byte(b.run(scenario{name: "plan", method: "GET", url: "/studies/rolls/plan", status: 200})), &plan); err != nil {
		t.Fatal(err)
	}
	tail := plan.Runs[len(plan.Runs)-len(stored.Runs):]
	for i, r := range tail {
		if r.Order != stored.Runs[i].Order || r.Why != stored.Runs[i].Why || *r.Orientation.QW != *stored.Runs[i].Orientation.QW {
			t.Errorf("run %+v was stored as %+v", stored.Runs[i], r)
		}
	}
	after := next("?trials=6")
	if after.Pending < 6 || after.PlanEnd != tail[len(tail)-1].Order {
		t.Errorf("after adding: %d pending, plan ends with %d", after.Pending, after.PlanEnd)
	}
	if after.Runs[0].Reference && after.Runs[0].Block == tail[0].Block {
		t.Error("a reference run in the middle of an added block")
	}
	b.run(scenario{name: "csv tells why", method: "GET", url: "/studies/rolls/plan.csv", status: 200, want: []string{",why\n"}})
	b.run(scenario{name: "first added run is handed out", method: "GET", url: "/studies/rolls/next?holder=rig", status: 200, want: []string{`"order":`}})

	study := b.run(scenario{name: "aim", method: "GET", url: "/studies/rolls", status: 200, want: []string{`"aim":{"question":"best","batch":8`}})
	edited := strings.Replace(study, `"question":"best","batch":8`, `"question":"rank","batch":4`, 1)
	var revision struct{ Revision int }
	if err := json.Unmarshal([]byte(study), &revision); err != nil {
		t.Fatal(err)
	}
	b.run(scenario{name: "edit aim", method: "PUT", url: "/studies/rolls", body: edited, headers: map[string]string{"If-Match": fmt.Sprintf(`"%d"`, revision.Revision)}, status: 200, want: []string{`"question":"rank","batch":4`}, events: []string{"study"}})
	if ranked := next(""); ranked.Aim.Question != "rank" || len(ranked.Choices) != 1 || len(ranked.Choices[0].Order) != 2 {
		t.Errorf("rank: %+v", ranked.Choices)
	}
}
