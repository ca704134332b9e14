package api_test

import (
	"encoding/json"
	"strings"
	"testing"

	"holdfast/api"
)

func benchBody(t *testing.T, r api.BenchRequest) string {
	t.Helper()
	raw, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

func TestBenchScenarios(t *testing.T) {
	b := stocked(t)
	const grips = "diameter_mm,force_N\n30,10\n30,11\n50,20\n50,21\n70,12\n70,11\n"
	grip := func(key string) api.BenchRequest {
		return api.BenchRequest{Key: key, Test: "grip", Operator: "ada", Day: "2026-02-03", Table: grips}
	}
	with := func(change func(*api.BenchRequest)) string {
		r := grip("k9")
		change(&r)
		return benchBody(t, r)
	}
	const url = "/hands/trefoil/bench"
	for _, s := range []scenario{
		{name: "tests", method: "GET", url: "/bench-tests", status: 200, want: []string{`"name":"grip"`, `"name":"tendon"`, "cautions", "Cut motion and air", `"takes_unit":true`}},
		{name: "none yet", method: "GET", url: url, status: 200, want: []string{"[]"}},
		{name: "only checked", method: "POST", url: url + "?dry_run=true", body: benchBody(t, grip("k1")), status: 200, want: []string{`"id":0`, `"value":20.5`, `"day":"2026-02-03"`}},
		{name: "nothing was kept", method: "GET", url: url, status: 200, want: []string{"[]"}},
		{name: "keep", method: "POST", url: url, body: benchBody(t, grip("k1")), status: 201, want: []string{`"id":1`, `"on_sheet":true`, `"value":20.5`}, events: []string{"bench"}},
		{name: "again", method: "POST", url: url, body: benchBody(t, grip("k1")), status: 200, want: []string{`"id":1`}},
		{name: "known key, other table", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Key, r.Table = "k1", grips+"90,3\n" }), status: 409, want: []string{"already used"}},
		{name: "faults of the table, all of them", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Table = "diameter_mm,force_N\n30,ten\n-1,3\n" }), status: 422,
			want: []string{`"location":"table"`, "row 2, column force_N", "row 3, column diameter_mm"}},
		{name: "a column that is not there", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Table = "diameter_mm\n30\n" }), status: 422, want: []string{"row 1", "no column force_N"}},
		{name: "a table that does not answer", method: "POST", url: url + "?dry_run=true", body: with(func(r *api.BenchRequest) { r.Test, r.Table = "life", "cycles,end\n10,failed\n" }), status: 422, want: []string{`"location":"table"`, "at least two"}},
		{name: "unknown test", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Test = "hope" }), status: 422, want: []string{`"location":"test"`, "one of closing, strength"}},
		{name: "nobody", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Operator = " " }), status: 422, want: []string{`"location":"operator"`}},
		{name: "no day", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Day = "yesterday" }), status: 422, want: []string{"day"}},
		{name: "no unit", method: "POST", url: url, body: with(func(r *api.BenchRequest) { r.Test, r.Table = "wear", "cycles,value\n0,1\n10,2\n20,2\n" }), status: 422, want: []string{`"location":"unit"`, "value_N"}},
		{name: "two units", method: "POST", url: url, body: with(func(r *api.BenchRequest) {
			r.Test, r.Unit, r.Table = "wear", "mm", "cycles,value_N\n0,1\n10,2\n20,2\n"
		}), status: 422, want: []string{`"location":"unit"`, "another"}},
		{name: "unit in the header", method: "POST", url: url, body: with(func(r *api.BenchRequest) {
			r.Key, r.Test, r.Table = "w1", "wear", "cycles,value_N\n0,1\n10,2\n20,2\n"
		}), status: 201, want: []string{`"unit":"N"`, "value (N)"}, events: []string{"bench"}},
		{name: "unknown hand", method: "POST", url: "/hands/paw/bench", body: benchBody(t, grip("k1")), status: 404},
		{name: "unknown hand's list", method: "GET", url: "/hands/paw/bench", status: 404},
		{name: "a later one", method: "POST", url: url, body: benchBody(t, api.BenchRequest{Key: "k2", Test: "grip", Operator: "bo", Table: "diameter_mm,force_N\n30,20\n30,22\n"}), status: 201, want: []string{`"day":"2026-03-02"`}, events: []string{"bench"}},
		{name: "does not erase the first", method: "GET", url: url, status: 200, want: []string{`"key":"k1"`, `"key":"k2"`}},
		{name: "and stands on the sheet", method: "GET", url: "/hand-sheet?hands=trefoil", status: 200, want: []string{`"value":21,`}, not: []string{`"value":20.5`}},
		{name: "void without a reason", method: "POST", url: url + "/3/void", body: `{"by":"cy","reason":" "}`, status: 422, want: []string{`"location":"reason"`}},
		{name: "void", method: "POST", url: url + "/3/void", body: `{"by":"cy","reason":"the cell was loose"}`, status: 200, want: []string{"the cell was loose"}, events: []string{"bench"}},
		{name: "void twice", method: "POST", url: url + "/3/void", body: `{"by":"cy","reason":"again"}`, status: 409, want: []string{"void"}},
		{name: "void of another hand's", method: "POST", url: "/hands/paw/bench/1/void", body: `{"by":"cy","reason":"again"}`, status: 404},
		{name: "the first counts again", method: "GET", url: "/hand-sheet?hands=trefoil", status: 200, want: []string{`"value":20.5`, `"cautions"`}},
		{name: "the table as it came in", method: "GET", url: url + "/1/table.csv", status: 200, want: []string{grips}},
		{name: "on paper", method: "GET", url: "/hand-sheet.pdf?hands=trefoil", status: 200, want: []string{"%PDF-"}},
		{name: "a hand twice", method: "GET", url: "/hand-sheet?hands=trefoil,trefoil", status: 422, want: []string{"twice"}},
		{name: "no hand", method: "GET", url: "/hand-sheet", status: 422},
		{name: "a level that is none", method: "GET", url: "/hand-sheet?hands=trefoil&level=2", status: 422, want: []string{"level"}},
	} {
		b.t = t
		b.run(s)
	}
	var list []api.BenchRecord
	read(t, b.run(scenario{name: "the list", method: "GET", url: url, status: 200}), &list)
	if len(list) != 3 || list[0].ID != 3 || list[0].OnSheet || list[0].Void == nil || !list[1].OnSheet || !list[2].OnSheet || list[2].Report == nil {
		t.Errorf("%+v", list)
	}
	var long strings.Builder
	long.WriteString("time_s,force_N\n")
	for i := range 3000 {
		long.WriteString(strings.Join([]string{jsonNumber(t, float64(i)/100), jsonNumber(t, 5+5/(1+float64(i)/100))}, ",") + "\n")
	}
	var kept api.BenchRecord
	read(t, b.run(scenario{name: "long", method: "POST", url: url + "?dry_run=true", body: with(func(r *api.BenchRequest) { r.Test, r.Table = "relaxation", long.String() }), status: 200}), &kept)
	if kept.Report == nil || kept.Report.Rows != 3000 || len(kept.Report.Series[0].XS) > 700 {
		t.Errorf("%d rows, %d points", kept.Report.Rows, len(kept.Report.Series[0].XS))
	}
}

func jsonNumber(t *testing.T, v float64) string {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}
