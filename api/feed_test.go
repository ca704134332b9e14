package api_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"holdfast/api"
	"holdfast/scenes"
)

// airBench is an air finger that is as far bent as air-four is described, and a tenth weaker.
func airBench() (bending, blocking string) {
	var b, f strings.Builder
	b.WriteString("pressure_kPa,angle_deg\n")
	f.WriteString("bench,pressure_kPa,force_N\n")
	for i := 1; i <= 8; i++ {
		p, off := 10*float64(i), float64(i%3)-1
		fmt.Fprintf(&b, "%g,%.2f\n", p, 1.7286*p+.3*off)
		fmt.Fprintf(&f, "guided,%g,%.4f\n", p, .9*.025*p-.004*off)
	}
	return b.String(), f.String()
}

func TestFeedScenarios(t *testing.T) {
	b := newBench(t)
	for _, id := range []string{"air-four", "jaws-two", "paw"} {
		b.run(scenario{name: id, method: "POST", url: "/hands", body: `{"id":"` + id + `","name":"` + id + `","actuation":"air","fingers":4,"roll_fold":4,"mirror":true,"finger_length_mm":82,"palm_diameter_mm":68,"opening_max_mm":121,"command_unit":"kPa","command_full":80,"force_max_N":12,"food_contact":true}`, status: 201, events: []string{"hand"}})
	}
	keep := func(test, table string) scenario {
		return scenario{name: "keep " + test, method: "POST", url: "/hands/air-four/bench", body: benchBody(t, api.BenchRequest{Key: test, Test: test, Operator: "ada", Day: "2026-02-03", Table: table}), status: 201, events: []string{"bench"}}
	}
	bending, blocking := airBench()
	const url = "/hands/air-four/bench/feed"
	for _, s := range []scenario{
		{name: "not described", method: "POST", url: "/hands/paw/bench/feed", body: `{}`, status: 404, want: []string{"docs/scenes.md"}},
		{name: "described, not in the lab", method: "POST", url: "/hands/tendon-five/bench/feed", body: `{}`, status: 404, want: []string{"tendon-five"}},
		{name: "no records", method: "POST", url: url, body: `{}`, status: 409, want: []string{"keep one of bending, blocking, tendon, stiffness"}},
		keep("bending", bending), keep("blocking", blocking), keep("grip", "diameter_mm,force_N\n30,10\n50,20\n"),
		{name: "no such finger", method: "POST", url: url, body: `{"finger":"thumb"}`, status: 422, want: []string{`"location":"finger"`, "arm-1, arm-2"}},
		{name: "no level", method: "POST", url: url, body: `{"level":2}`, status: 422, want: []string{"level"}},
		{name: "unknown field", method: "POST", url: url, body: `{"fingers":2}`, status: 422},
		{name: "another finger", method: "POST", url: url, body: `{"finger":"arm-3","level":0.9}`, status: 200, want: []string{`"finger":"arm-3"`, `"level":0.9`, `"file":"air-four-from-bench.yaml"`}},
	} {
		b.run(s)
	}
	var f api.HandFeed
	read(t, b.run(scenario{name: "feed", method: "POST", url: url, body: `{}`, status: 200}), &f)
	if len(f.Quantities) != 2 || len(f.Curves) != 2 || len(f.Records) != 2 || len(f.Unknowns) != 2 || len(f.Fingers) != 4 || f.Finger != "arm-1" || f.Invented || f.Level != .95 {
		t.Fatalf("%+v", f)
	}
	for _, q := range f.Quantities {
		if q.Described == nil || q.Low == nil || math.Abs(q.Measured / *q.Described - .9) > .005 || !(*q.Low < q.Measured && q.Measured < *q.High) || !q.Placed {
			t.Errorf("%+v", q)
		}
	}
	c := f.Curves[1]
	if c.Unit != "N" || c.Readings != 8 || !(c.MisfitAfter < c.MisfitBefore/5) || len(c.Series) != 3 || c.Series[0].Draw != "points" || c.Series[1].X != "pressure, kPa" || c.Series[1].Y != "force, N" || math.Abs(c.Series[1].YS[7]-2) > .005 {
		t.Errorf("%+v", c)
	}
	again, err := scenes.ReadHand(fstest.MapFS{"f": {Data: []byte(f.Text)}}, "f")
	if err != nil || len(again.Fingers) != 4 || !strings.HasPrefix(f.Text, "# Brought to bench records of finger arm-1.") {
		t.Errorf("%v: %.300s", err, f.Text)
	}
	var names []string
	var draw strings.Builder
	draw.WriteString("direction,travel_mm,angle_deg,tension_N\n")
	for i := 1; i <= 6; i++ {
		fmt.Fprintf(&draw, "closing,%g,%d,%g\nopening,%g,%d,%g\n", 2.4*float64(i)+.02*float64(i%3), 20*i, 1.3*float64(i)+.01*float64(i%2), 2.35*float64(i), 20*i, .9*float64(i)+.01*float64(i%3))
	}
	b.run(scenario{name: "tendons", method: "POST", url: "/hands", body: `{"id":"tendon-five","name":"tendons","actuation":"motor","fingers":5,"roll_fold":1,"mirror":true,"finger_length_mm":83,"palm_diameter_mm":68,"opening_max_mm":121,"command_unit":"mm","command_full":28,"force_max_N":12,"food_contact":true}`, status: 201, events: []string{"hand"}})
	b.run(scenario{name: "keep tendon", method: "POST", url: "/hands/tendon-five/bench", body: benchBody(t, api.BenchRequest{Key: "t", Test: "tendon", Operator: "ada", Table: draw.String()}), status: 201, events: []string{"bench"}})
	read(t, b.run(scenario{name: "both ways", method: "POST", url: "/hands/tendon-five/bench/feed", body: `{"finger":"index"}`, status: 200}), &f)
	for _, s := range f.Curves[1].Series {
		names = append(names, s.Name)
	}
	// The description has no friction, so that it says the same both ways.
	if want := "measured, closing|measured, opening|as described|brought to the bench, closing|brought to the bench, opening"; strings.Join(names, "|") != want {
		t.Errorf("%q", names)
	}
	if q := f.Quantities[len(f.Quantities)-1]; q.Name != "stretch of the finger's tendon" || q.Described != nil || q.Placed {
		t.Errorf("%+v", q)
	}
	b.run(scenario{name: "void", method: "POST", url: "/hands/air-four/bench/2/void", body: `{"by":"cy","reason":"loose"}`, status: 200, events: []string{"bench"}})
	read(t, b.run(scenario{name: "with a record made void", method: "POST", url: url, body: `{}`, status: 200}), &f)
	if len(f.Curves) != 1 || len(f.Quantities) != 1 || !strings.Contains(fmt.Sprint(f.Unknowns), "free bending alone") {
		t.Errorf("%+v", f)
	}
}
