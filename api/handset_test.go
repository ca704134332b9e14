package api_test

import (
	"fmt"
	"strings"
	"testing"
)

// A lab has more conditions than maps are kept. Weighing all hands again, with nothing changed, fits none of them again: it
// publishes no progress of fits.
func TestHandSetIsWeighedOnce(t *testing.T) {
	b := newBench(t)
	csv := map[string]string{"Content-Type": "text/csv"}
	b.run(scenario{name: "hand", method: "POST", url: "/hands", body: handBody, status: 201, events: []string{"hand"}})
	b.run(scenario{name: "setting", method: "POST", url: "/settings", body: settingBody, status: 201, events: []string{"setting"}})
	const items = 7
	var names []string
	rows := &strings.Builder{}
	rows.WriteString("item,strategy,tilt_deg,azimuth_deg,roll_deg,outcome\n")
	for i := range items {
		name := fmt.Sprintf("puff-%d", i+1)
		names = append(names, `"`+name+`"`)
		body := strings.NewReplacer("Soft roll", fmt.Sprintf("Puff %d", i+1), `"size_x_mm":90`, `"size_x_mm":70`, `"turning":{"axial":false,"fold":2`, `"turning":{"axial":true,"fold":1`).Replace(itemBody)
		b.run(scenario{name: "item", method: "POST", url: "/items", body: body, status: 201, want: []string{name}, events: []string{"item"}})
		const figures = `{"value_per_good":0.4,"cost_damaged":1,"cost_failed":0.01,"cost_person_item":0.05,"person_s":4,"item_s":0,"fail_s":1,"wait_s":2,"cycle_s":6,"demand_per_hour":400,"share":0.1,"target":0.8,"confidence":0.9,"retry":["same","person"],"retry_factor":1}`
		b.run(scenario{name: "figures", method: "PUT", url: "/economics/items/" + name, headers: map[string]string{"If-Match": `"0"`}, body: figures, status: 200, events: []string{"economics"}})
		for k := range 12 {
			fmt.Fprintf(rows, "%s,%s,%d,0,0,%s\n", name, []string{"free", "surface-guided"}[k%2], 15*(k%3), []string{"held", "held", "held", "missed"}[(k+i)%4])
		}
	}
	study := strings.NewReplacer(`"items":["soft-roll"]`, `"items":[`+strings.Join(names, ",")+`]`, `"tilts_deg":[0,30]`, `"tilts_deg":[0,15]`).Replace(studyBody)
	b.run(scenario{name: "study", method: "POST", url: "/studies", body: study, status: 201, events: []string{"study"}})
	b.run(scenario{name: "trials", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: csv, body: rows.String(), status: 200, events: []string{"study", "trials"}})
	first := b.get("/handset?max_hands=1")
	again := b.run(scenario{name: "again", method: "GET", url: "/handset?max_hands=1", status: 200, want: []string{`"trials":6`}})
	if again != string(first) {
		t.Error("the same question has another answer")
	}
	b.run(scenario{name: "one item's trials more", method: "POST", url: "/studies/rolls/import?name=u.csv", headers: csv, body: "item,strategy,tilt_deg,azimuth_deg,roll_deg,outcome\npuff-3,free,15,0,0,held\n", status: 200, events: []string{"study", "trials"}})
	if after := string(b.get("/handset?max_hands=1")); after == again || !strings.Contains(after, `"trials":7`) {
		t.Errorf("a further trial is not in the answer: %s", short(after))
	}
}
