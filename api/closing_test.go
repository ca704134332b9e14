package api_test

import (
	"encoding/json"
	"io/fs"
	"math"
	"testing"

	"holdfast/api"
	"holdfast/domain"
	"holdfast/examples"
	"holdfast/scenes"
)

func describedHands(t *testing.T) (hands []api.DescribedHand) {
	t.Helper()
	files, err := fs.Sub(examples.Scenes(), "hands")
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"tendon-five", "air-four", "jaws-two"} {
		h, err := scenes.ReadHand(files, id+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		hands = append(hands, api.DescribedHand{ID: domain.ID(id), Hand: h})
	}
	return hands
}

func TestClosingScenarios(t *testing.T) {
	b := newBench(t)
	for _, s := range []scenario{
		{name: "which hands", method: "GET", url: "/hand-descriptions", status: 200, want: []string{`"id":"tendon-five"`, `"cords":1`, `"id":"air-four"`}},
		{name: "unknown", method: "GET", url: "/hand-descriptions/paw/closing", status: 404, want: []string{`"kind":"notFound"`, "docs/scenes.md"}},
		{name: "unknown item", method: "GET", url: "/hand-descriptions/tendon-five/closing?item=cat", status: 422, want: []string{"item"}},
		{name: "inside the palm", method: "GET", url: "/hand-descriptions/tendon-five/closing?item=sphere&size_mm=60&distance_mm=5&steps=4", status: 422, want: []string{"can not stand"}},
		{name: "sizes the wrong way round", method: "GET", url: "/hand-descriptions/tendon-five/grip?smallest_mm=50&largest_mm=40", status: 422, want: []string{"the smaller"}},
	} {
		b.run(s)
	}

	var free api.HandClosing
	read(t, b.run(scenario{name: "free", method: "GET", url: "/hand-descriptions/tendon-five/closing?steps=8", status: 200}), &free)
	last := free.Steps[8]
	if len(free.Steps) != 9 || len(free.Fingers) != 5 || len(last.LinksMM) != 6*len(free.Links) || last.TensionN[0] <= 0 || last.GripN != 0 || free.Outline != nil {
		t.Errorf("%d steps, %d fingers, last %+v", len(free.Steps), len(free.Fingers), last)
	}
	for i, bent := range last.BentDeg {
		if bent < 20 || bent < free.Steps[4].BentDeg[i] {
			t.Errorf("finger %d is bent by %g° closed, by %g° half closed", i, bent, free.Steps[4].BentDeg[i])
		}
	}
	var air api.HandClosing
	read(t, b.run(scenario{name: "air", method: "GET", url: "/hand-descriptions/air-four/closing?steps=4", status: 200}), &air)
	if p := air.Steps[4].PressureKPa; len(p) == 0 || p[0] < 10 || air.Steps[4].BentDeg[0] < 20 {
		t.Errorf("pressures %v kPa bend by %g°", p, air.Steps[4].BentDeg[0])
	}
	var around api.HandClosing
	read(t, b.run(scenario{name: "around", method: "GET", url: "/hand-descriptions/tendon-five/closing?item=sphere&size_mm=60&steps=8", status: 200}), &around)
	last = around.Steps[8]
	sum := last.PalmN
	for _, f := range last.FingersN {
		sum += f
	}
	if around.DistanceMM < 30 || around.Outline == nil || math.Abs(sum-last.GripN) > 0.01 || last.GripN < 1 || len(last.Contacts) < 2 {
		t.Errorf("at %g mm: grip %g N, parts %g N, %d contacts", around.DistanceMM, last.GripN, sum, len(last.Contacts))
	}
	var grip api.HandGrip
	read(t, b.run(scenario{name: "grip", method: "GET", url: "/hand-descriptions/jaws-two/grip?item=box&smallest_mm=20&largest_mm=40&sizes=3&steps=4", status: 200}), &grip)
	if len(grip.GripN) != 3 || len(grip.GripN[0]) != 5 || grip.GripN[1][4] < 5 || grip.Touching[1][4] != 2 || grip.SizesMM[1] != 30 {
		t.Errorf("%+v", grip)
	}
}

func read(t *testing.T, text string, into any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), into); err != nil {
		t.Fatal(err)
	}
}
