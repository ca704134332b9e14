package api_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"holdfast/api"
)

func TestComparisonScenarios(t *testing.T) {
	b := stocked(t)
	b.run(scenario{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: trialFile(400), status: 200, events: []string{"study", "trials"}})
	const two = "by=strategy&a=surface-guided&b=free"
	for _, s := range []scenario{
		{name: "two strategies", method: "GET", url: "/studies/rolls/comparison?" + two, status: 200,
			want: []string{"surface-guided", "chance_a_is_better", `"unit":"trials"`, `"units":"200 and 200 trials"`, `"margin":0.02`, `"holm_p"`, "Boschloo"}},
		{name: "the other margin", method: "GET", url: "/studies/rolls/comparison?no_worse_by=0.1&" + two, status: 200, want: []string{`"margin":0.1`}},
		{name: "unknown level", method: "GET", url: "/studies/rolls/comparison?by=strategy&a=scoop&b=free", status: 422, want: []string{"query.a", "surface-guided, free"}},
		{name: "the same twice", method: "GET", url: "/studies/rolls/comparison?by=strategy&a=free&b=free", status: 422, want: []string{"query.b"}},
		{name: "one hand only", method: "GET", url: "/studies/rolls/comparison?by=hand&a=trefoil&b=tweezer", status: 404, want: []string{"nothing to compare", "1 hand only"}},
		{name: "unknown factor", method: "GET", url: "/studies/rolls/comparison?by=colour&a=x&b=y", status: 422, want: []string{"by"}},
		{name: "margin of nothing", method: "GET", url: "/studies/rolls/comparison?no_worse_by=0&" + two, status: 422, want: []string{"no_worse_by"}},
		{name: "no pairs", method: "GET", url: "/studies/rolls/comparison?unit=pairs&" + two, status: 409, want: []string{"There are no pairs"}},
		{name: "no such study", method: "GET", url: "/studies/none/comparison?" + two, status: 404},
		{name: "maps with themselves", method: "GET", url: "/studies/rolls/comparison/maps?by=strategy&a=free&b=free", status: 422, want: []string{"query.b"}},
	} {
		b.t = t
		b.run(s)
	}
	var m api.MapsComparison
	if err := json.Unmarshal([]byte(b.run(scenario{name: "maps", method: "GET", url: "/studies/rolls/comparison/maps?" + two, status: 200, want: []string{"clearly better"}, events: slices.Repeat([]string{"map"}, 8)})), &m); err != nil {
		t.Fatal(err)
	}
	if len(m.Points) != m.Headings+1 || len(m.Clear) != len(m.Points) || len(m.Points[0]) != m.Size*m.Size {
		t.Fatalf("%d pictures of %d pixels for %d headings of %d", len(m.Points), len(m.Points[0]), m.Headings, m.Size)
	}
	if middle := m.Size * m.Size / 2; m.Points[0][0] != 9999 || m.Points[0][middle] == 9999 {
		t.Errorf("corner %d, middle %d", m.Points[0][0], m.Points[0][middle])
	}
	if m.ClearA < m.SureA || m.ClearB < m.SureB || m.ClearA+m.ClearB > 1+1e-9 {
		t.Errorf("clear %g and %g, sure %g and %g", m.ClearA, m.ClearB, m.SureA, m.SureB)
	}
	// The mirror image: B minus A, drawn from the same maps.
	var back api.MapsComparison
	if err := json.Unmarshal([]byte(b.run(scenario{name: "maps mirrored", method: "GET", url: "/studies/rolls/comparison/maps?by=strategy&a=free&b=surface-guided", status: 200})), &back); err != nil {
		t.Fatal(err)
	}
	if middle := m.Size * m.Size / 2; m.Points[m.Headings][middle]*back.Points[m.Headings][middle] > 0 {
		t.Errorf("the difference keeps its sign: %d and %d", m.Points[m.Headings][middle], back.Points[m.Headings][middle])
	}
}

func TestJudgementScenarios(t *testing.T) {
	b := stocked(t)
	b.run(scenario{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: trialFile(40), status: 200, events: []string{"study", "trials"}})
	judge := func(trial int, key, who, outcome string) string {
		return fmt.Sprintf(`{"trial":%d,"key":%q,"judge":%q,"outcome":%q}`, trial, key, who, outcome)
	}
	for _, s := range []scenario{
		{name: "nobody judged", method: "GET", url: "/studies/rolls/agreement", status: 404, want: []string{"Nobody has judged"}},
		{name: "all to judge, blind", method: "GET", url: "/studies/rolls/unjudged?judge=bo&limit=40", status: 200, want: []string{`"left":40`, `"orientation"`}, not: []string{"held", "missed", "outcome", "counted"}},
		{name: "judge", method: "POST", url: "/studies/rolls/judgements", body: judge(3, "j1", "bo", "held"), status: 201, want: []string{`"trial":3`, `"judge":"bo"`, "judged_at"}, events: []string{"judgements"}},
		{name: "again", method: "POST", url: "/studies/rolls/judgements", body: judge(3, "j1", "bo", "held"), status: 200},
		{name: "known key", method: "POST", url: "/studies/rolls/judgements", body: judge(3, "j1", "bo", "missed"), status: 409, want: []string{"already used"}},
		{name: "nameless", method: "POST", url: "/studies/rolls/judgements", body: judge(3, "j2", " ", "held"), status: 422, want: []string{`"location":"judge"`}},
		{name: "the record's name", method: "POST", url: "/studies/rolls/judgements", body: judge(3, "j2", "As recorded", "held"), status: 422, want: []string{"record itself"}},
		{name: "void", method: "POST", url: "/studies/rolls/judgements", body: judge(3, "j2", "bo", "void"), status: 422, want: []string{"outcome"}},
		{name: "no such trial", method: "POST", url: "/studies/rolls/judgements", body: judge(999, "j2", "bo", "held"), status: 404},
		{name: "what others judged comes first", method: "GET", url: "/studies/rolls/unjudged?judge=cy&limit=1", status: 200, want: []string{`"trial":3`, `"left":40`}},
		{name: "not twice", method: "GET", url: "/studies/rolls/unjudged?judge=BO&limit=0", status: 200, want: []string{`"left":39`}, not: []string{`"trial":3,`}},
		{name: "the list", method: "GET", url: "/studies/rolls/judgements", status: 200, want: []string{`"key":"j1"`}, not: []string{`"key":"j2"`}},
	} {
		b.t = t
		b.run(s)
	}
	for i := range 12 {
		b.run(scenario{name: "judge", method: "POST", url: "/studies/rolls/judgements", body: judge(i+4, fmt.Sprint("k", i), "cy", []string{"held", "missed", "slipped"}[i%3]), status: 201, events: []string{"judgements"}})
	}
	body := b.run(scenario{name: "agreement", method: "GET", url: "/studies/rolls/agreement", status: 200, want: []string{`"name":"as recorded"`, `"name":"bo"`, `"name":"cy"`, "alpha", "judged a second time"}})
	var a api.Agreement
	if err := json.Unmarshal([]byte(body), &a); err != nil {
		t.Fatal(err)
	}
	if a.Trials != 13 || len(a.Judges) != 3 || len(a.Pairs) != 2 || a.Pairs[1].Trials != 12 {
		t.Fatalf("%d trials, %d judges, %d pairs", a.Trials, len(a.Judges), len(a.Pairs))
	}
	for i, r := range a.Again {
		if i > 0 && r.Decisive && !a.Again[i-1].Decisive {
			t.Errorf("trial %d comes after one on which less hangs", r.Trial)
		}
		if len(r.Said) < 2 || r.Said[0].Judge != "as recorded" {
			t.Errorf("said of trial %d: %+v", r.Trial, r.Said)
		}
	}
	if again := b.run(scenario{name: "the same bytes", method: "GET", url: "/studies/rolls/agreement", status: 200}); again != body || !strings.Contains(body, "alpha_low") {
		t.Error("the interval changes from one look to the next")
	}
}
