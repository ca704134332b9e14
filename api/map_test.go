package api_test

import (
	"compress/gzip"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"strings"
	"testing"

	"holdfast/api"
	"holdfast/numeric"
	"holdfast/orient"
)

// trialFile is a file of trials that hold where the hand leans to the side of azimuth 0, and mostly when guided.
func trialFile(n int) string {
	var b strings.Builder
	b.WriteString("key,strategy,tilt_deg,azimuth_deg,roll_deg,outcome\n")
	rng := numeric.Stream(7, "map test")
	for i := range n {
		tilt, azimuth, roll := 30*float64(rng.IntN(2)), 90*float64(rng.IntN(4)), 60*float64(rng.IntN(2))
		strategy := []string{"free", "surface-guided"}[i%2]
		p := 0.5 + 0.35*math.Sin(tilt*math.Pi/180)*math.Cos(azimuth*math.Pi/180) + 0.1*float64(i%2)
		outcome := "missed"
		if rng.Float64() < p {
			outcome = "held"
		}
		fmt.Fprintf(&b, "row-%d,%s,%g,%g,%g,%s\n", i, strategy, tilt, azimuth, roll, outcome)
	}
	return b.String()
}

func TestMapScenarios(t *testing.T) {
	b := stocked(t)
	csv := map[string]string{"Content-Type": "text/csv"}
	const condition = "hand=trefoil&item=soft-roll&setting=open-table&strategy=surface-guided"
	for _, s := range []scenario{
		{name: "nothing to map", method: "GET", url: "/studies/rolls/map?strategy=free", status: 404, want: []string{"run some first"}},
		{name: "nothing to choose", method: "GET", url: "/studies/rolls/choice", status: 200, want: []string{`"options":[]`, "no trials to choose from"}},
		{name: "faulty file", method: "POST", url: "/studies/rolls/import?name=bad.csv", headers: csv, body: "strategy,tilt_deg,azimuth_deg,roll_deg,outcome\nfree,10,0,0,held\nfreee,10,0,0,held\nfree,400,0,0,kept\n", status: 422,
			want: []string{"row 3, tilt_deg", "row 3, outcome", `"value":"400"`}},
		{name: "names not in the study", method: "POST", url: "/studies/rolls/import?name=bad.csv", headers: csv, body: "item,strategy,tilt_deg,azimuth_deg,roll_deg,outcome\nSoft roll,free,10,0,0,held\negg,freee,10,0,0,held\n", status: 422,
			want: []string{"row 2, item", "row 2, strategy", `"value":"egg"`}, not: []string{"row 1"}},
		{name: "nothing was stored", method: "GET", url: "/studies/rolls/trials", status: 200, want: []string{`"total":0`}},
		{name: "dry run", method: "POST", url: "/studies/rolls/import?name=t.csv&dry_run=true", headers: csv, body: trialFile(400), status: 200, want: []string{`"rows":400,"stored":400,"repeated":0`, `"dry_run":true`}},
		{name: "still nothing", method: "GET", url: "/studies/rolls/trials", status: 200, want: []string{`"total":0`}},
		{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: csv, body: trialFile(400), status: 200, want: []string{`"rows":400,"stored":400,"repeated":0`}, events: []string{"study", "trials"}},
		{name: "import again", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: csv, body: trialFile(400), status: 200, want: []string{`"stored":0,"repeated":400`}},
		{name: "conditions", method: "GET", url: "/studies/rolls/conditions", status: 200, want: []string{`"strategy":"free","trials":200`, `"strategy":"surface-guided","trials":200`}},
		{name: "which map", method: "GET", url: "/studies/rolls/map", status: 422, want: []string{`"location":"query.strategy"`}},
		{name: "unknown strategy", method: "GET", url: "/studies/rolls/map?strategy=scoop", status: 422, want: []string{"query.strategy"}},
		{name: "trials as CSV", method: "GET", url: "/studies/rolls/trials.csv?strategy=free", status: 200, want: []string{"row-0", "tilt_deg"}, not: []string{"row-1,"}},
		{name: "bad query of a file", method: "GET", url: "/studies/rolls/map.svg?view=sideways&" + condition, status: 422, want: []string{"query.view"}},
		{name: "card by nobody", method: "POST", url: "/cards", body: `{"study":"rolls","hand":"trefoil","item":"soft-roll","setting":"open-table","strategy":"free","released_by":" "}`, status: 422, want: []string{"released_by"}},
		{name: "no card", method: "GET", url: "/cards/none", status: 404},
		{name: "schema", method: "GET", url: "/schemas/pick-card-1.json", status: 200, want: []string{"json-schema.org"}},
	} {
		b.run(s)
	}

	var info api.MapInfo
	raw := b.get("/studies/rolls/map?" + condition)
	if err := json.Unmarshal(raw, &info); err != nil {
		t.Fatal(err)
	}
	if info.Trials != 200 || info.HeadingFold != 3 || info.BlurDeg != 6 || math.Abs(info.TiltMaxDeg-30) > 1e-6 || info.Scores.Folds == 0 || info.Invented {
		t.Errorf("map: %+v", info)
	}
	cells := 0
	for _, c := range info.Cells {
		cells += c.Trials
		if c.Trials > 0 && !(c.ExactLow <= c.WilsonLow+0.05 && c.PLow <= c.P && c.P <= c.PHigh && c.PBlurred > 0 && c.PBlurred < 1) {
			t.Errorf("cell out of order: %+v", c)
		}
	}
	if cells != 200 {
		t.Errorf("cells hold %d trials, want 200", cells)
	}
	checkRaster(t, b, condition, info)

	var marks api.MapMarks
	if err := json.Unmarshal(b.get("/studies/rolls/map/marks?"+condition), &marks); err != nil || len(marks.Trial) != 200 || len(marks.HeadingDeg) != 200 {
		t.Errorf("marks: %v, %d trials", err, len(marks.Trial))
	}
	for _, name := range []string{"map.svg?view=best&", "map.png?heading_deg=60&", "map.csv?", "map.parquet?"} {
		if got := b.get("/studies/rolls/" + name + condition); len(got) < 500 {
			t.Errorf("%s: %d bytes", name, len(got))
		}
	}
}

func TestChoiceAndCardScenarios(t *testing.T) {
	b := stocked(t)
	b.run(scenario{name: "import", method: "POST", url: "/studies/rolls/import?name=t.csv", headers: map[string]string{"Content-Type": "text/csv"}, body: trialFile(400), status: 200, events: []string{"study", "trials"}})
	var choice api.Choice
	if err := json.Unmarshal(b.get("/studies/rolls/choice"), &choice); err != nil {
		t.Fatal(err)
	}
	if len(choice.Options) != 2 || choice.Options[0].Low < choice.Options[1].Low || choice.BlurDeg != 6 || choice.Target != 0.8 {
		t.Fatalf("choice: %+v", choice)
	}
	best := choice.Options[0]
	if !(best.Low < best.Success && best.Success < best.High) || len(best.Region) == 0 || best.Closing != 0.8 || best.Reason == "" {
		t.Errorf("best option: %+v", best)
	}
	const release = `{"study":"rolls","hand":"trefoil","item":"soft-roll","setting":"open-table","strategy":"surface-guided","released_by":"A. Baker"`
	for _, s := range []scenario{
		{name: "one strategy only", method: "GET", url: "/studies/rolls/choice?strategy=free", status: 200, want: []string{`"strategy":"free"`}, not: []string{`"strategy":"surface-guided"`}},
		{name: "too much asked for", method: "POST", url: "/cards", body: release + `,"min_radius_deg":80}`, status: 409, want: []string{`"kind":"refused"`, "tolerates"}},
		{name: "release", method: "POST", url: "/cards", body: release + `}`, status: 201, want: []string{`"id":"soft-roll-by-trefoil"`, `"matches":true`, `"digest":"`, `"trials":200`, "Food contact", "not a safety function"}, events: []string{"card"}},
		{name: "release again", method: "POST", url: "/cards", body: release + `}`, status: 201, want: []string{`"id":"soft-roll-by-trefoil-2"`}, events: []string{"card"}},
		{name: "release under a taken ID", method: "POST", url: "/cards", body: release + `,"id":"soft-roll-by-trefoil"}`, status: 409, want: []string{`"kind":"conflict"`}},
		{name: "for machines", method: "GET", url: "/cards/soft-roll-by-trefoil/card.json", status: 200, want: []string{"holdfast-pick-card/1"}},
		{name: "on paper", method: "GET", url: "/cards/soft-roll-by-trefoil/card.pdf", status: 200, want: []string{"%PDF-"}},
		{name: "withdraw without a reason", method: "POST", url: "/cards/soft-roll-by-trefoil-2/withdraw", body: `{"by":"A. Baker","reason":""}`, status: 422, want: []string{`"location":"reason"`}},
		{name: "withdraw", method: "POST", url: "/cards/soft-roll-by-trefoil-2/withdraw", body: `{"by":"A. Baker","reason":"released twice"}`, status: 200, want: []string{`"withdrawn":"2026-`, `"reason":"released twice"`}, events: []string{"card"}},
		{name: "withdraw twice", method: "POST", url: "/cards/soft-roll-by-trefoil-2/withdraw", body: `{"by":"A. Baker","reason":"again"}`, status: 409, want: []string{`"kind":"refused"`}},
		{name: "a trial of the other strategy", method: "POST", url: "/studies/rolls/trials", body: `{"key":"n1","strategy":"free","orientation":{"tilt_deg":0,"azimuth_deg":0,"roll_deg":0},"outcome":"held"}`, status: 201, events: []string{"trials"}},
		{name: "does not touch the card", method: "GET", url: "/cards/soft-roll-by-trefoil", status: 200, want: []string{`"matches":true`}},
		{name: "a trial of the same strategy", method: "POST", url: "/studies/rolls/trials", body: `{"key":"n2","strategy":"surface-guided","orientation":{"tilt_deg":0,"azimuth_deg":0,"roll_deg":0},"outcome":"held"}`, status: 201, events: []string{"trials"}},
		{name: "does", method: "GET", url: "/cards/soft-roll-by-trefoil", status: 200, want: []string{`"matches":false`}},
		{name: "and the lab says so", method: "GET", url: "/lab", status: 200, want: []string{"Look at card soft-roll-by-trefoil again"}},
		{name: "still on paper", method: "GET", url: "/cards/soft-roll-by-trefoil/card.pdf", status: 200, want: []string{"%PDF-"}},
	} {
		b.run(s)
	}
}

// checkRaster reads the raster as its description says and compares it with the map at single orientations.
func checkRaster(t *testing.T, b *bench, condition string, info api.MapInfo) {
	t.Helper()
	data := b.get("/studies/rolls/map/raster?" + condition)
	n, headings := info.Raster.Size, info.Raster.Headings
	if want := 2 * n * n * (4*headings + 8); len(data) != want {
		t.Fatalf("raster of %d bytes, want %d", len(data), want)
	}
	at := func(layer, heading, row, column int) float64 {
		i := (layer*headings+heading)*n*n + row*n + column
		if layer >= 4 {
			i = (4*headings+layer-4)*n*n + row*n + column
		}
		v := binary.LittleEndian.Uint16(data[2*i:])
		if v == math.MaxUint16 {
			return math.NaN()
		}
		return float64(v) / (math.MaxUint16 - 1)
	}
	if !math.IsNaN(at(0, 0, 0, 0)) {
		t.Error("a corner of the raster lies on the disc")
	}
	for _, px := range []struct{ heading, row, column int }{{0, n / 2, n / 2}, {1, n / 2, n - 1}, {headings - 1, 10, 30}, {headings / 2, 60, 20}} {
		x, y := (2*float64(px.column)+1)/float64(n)-1, 1-(2*float64(px.row)+1)/float64(n)
		tilt := 2 * math.Asin(math.Hypot(x, y)*math.Sin(info.TiltMaxDeg/2*math.Pi/180))
		heading := 2 * math.Pi / float64(info.HeadingFold) * float64(px.heading) / float64(headings)
		q := orient.FromDirectionHeading(tilt, math.Atan2(y, x), heading)
		var point api.MapPoint
		if err := json.Unmarshal(b.get(fmt.Sprintf("/studies/rolls/map/at?%s&qw=%v&qx=%v&qy=%v&qz=%v", condition, q.W, q.X, q.Y, q.Z)), &point); err != nil {
			t.Fatal(err)
		}
		for layer, want := range []float64{point.P, point.PLow, point.PHigh, point.PBlurred} {
			// Half of a step of 1/65534.
			if got := at(layer, px.heading, px.row, px.column); !(math.Abs(got-want) < 1e-5) {
				t.Errorf("pixel %+v layer %d: %g, the map at it says %g", px, layer, got, want)
			}
		}
		mean, best := 0.0, 0.0
		for h := range headings {
			mean += at(0, h, px.row, px.column) / float64(headings)
			best = math.Max(best, at(0, h, px.row, px.column))
		}
		if !(math.Abs(mean-at(4, 0, px.row, px.column)) < 1e-5) || !(math.Abs(best-at(8, 0, px.row, px.column)) < 1e-5) {
			t.Errorf("pixel %+v: mean and best over headings are not those of its layers", px)
		}
		if len(point.Near) != 12 || point.Near[0].AngleDeg > point.Near[11].AngleDeg {
			t.Errorf("nearest trials: %+v", point.Near)
		}
	}
}

// get reads an answer that must be 200, unpacking it when it is packed.
func (b *bench) get(path string) []byte {
	b.t.Helper()
	req, err := http.NewRequest("GET", b.server.URL+"/api/v1"+path, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Accept-Encoding", "gzip")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	var body io.Reader = res.Body
	if res.Header.Get("Content-Encoding") == "gzip" {
		if body, err = gzip.NewReader(res.Body); err != nil {
			b.t.Fatal(err)
		}
	}
	raw, err := io.ReadAll(body)
	if err != nil {
		b.t.Fatal(err)
	}
	if res.StatusCode != 200 {
		b.t.Fatalf("%s: status %d: %s", path, res.StatusCode, short(string(raw)))
	}
	return raw
}
