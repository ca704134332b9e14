package api_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"holdfast/api"
	"holdfast/signals/pads"
	"holdfast/signals/strips"
)

// followed opens a stream of pictures and says with what it follows.
func followed(ctx context.Context, t *testing.T, b *bench, sensor string, start any) *websocket.Conn {
	t.Helper()
	c, _, err := websocket.Dial(ctx, "ws"+strings.TrimPrefix(b.server.URL, "http")+"/api/v1/hands/trefoil/"+sensor+"/follow", nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.CloseNow() })
	c.SetReadLimit(16 << 20)
	if err := c.Write(ctx, websocket.MessageText, []byte(jsonOf(t, start))); err != nil {
		t.Fatal(err)
	}
	return c
}

func message(ctx context.Context, t *testing.T, c *websocket.Conn, into any) {
	t.Helper()
	_, text, err := c.Read(ctx)
	if err != nil || json.Unmarshal(text, into) != nil {
		t.Fatalf("%v: %s", err, text)
	}
}

// What a rig posts comes to whoever follows, frame for frame as the whole record would be read.
func TestARigsReadingsAreFollowed(t *testing.T) {
	b := stocked(t)
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	text := b.run(scenario{name: "files", method: "GET", url: "/touch/strips/invented", status: 200})
	var files api.TouchFiles
	read(t, text, &files)
	var whole strips.FingerReport
	read(t, b.run(scenario{name: "whole", method: "POST", url: "/touch/strips", body: text, status: 200}), &whole)
	record, err := strips.ReadRecord(strings.NewReader(files.Record))
	if err != nil {
		t.Fatal(err)
	}
	c := followed(ctx, t, b, "strips", api.FollowStart{Calibration: files.Calibration, Places: files.Places})
	var m api.StripsFollowed
	if message(ctx, t, c, &m); m.Kind != "frames" || m.Report == nil || len(m.Report.Strips) != len(whole.Strips) || len(m.Frames) != 0 {
		t.Fatalf("%+v", m)
	}
	post := func(from, to int) {
		t.Helper()
		var list api.SensorReadings
		for k := from; k < to; k++ {
			list.Readings = append(list.Readings, api.SensorReading{Time: record.Times[k], Values: record.Readings[k]})
		}
		b.run(scenario{name: "post", method: "POST", url: "/hands/trefoil/readings/strips", body: jsonOf(t, list), status: 200, want: []string{`"followers":1`}})
	}
	post(0, 40)
	post(40, 41)
	post(41, 100)
	var frames []strips.FingerFrame
	for len(frames) < 100 {
		m = api.StripsFollowed{}
		message(ctx, t, c, &m)
		if len(frames) == 0 && (m.Report == nil || len(m.Report.ArcMM) != len(whole.ArcMM)) {
			t.Errorf("the first frames come without the places of their points: %+v", m.Report)
		}
		frames = append(frames, m.Frames...)
	}
	if !reflect.DeepEqual(frames, whole.Frames[:100]) {
		t.Error("the frames that were followed are not those of the record")
	}
	// The rig begins anew: so does the picture.
	post(0, 1)
	m = api.StripsFollowed{}
	if message(ctx, t, c, &m); m.Report == nil || len(m.Frames) != 1 || m.Frames[0].Time != record.Times[0] {
		t.Errorf("%+v", m)
	}
	// A rig with another number of strips is told to the page, which the rig can not know.
	b.run(scenario{name: "too few", method: "POST", url: "/hands/trefoil/readings/strips", body: jsonOf(t, api.SensorReadings{Readings: []api.SensorReading{{Time: 9, Values: []float64{1}}}}), status: 200})
	m = api.StripsFollowed{}
	if message(ctx, t, c, &m); m.Kind != "fault" || !strings.Contains(m.Message, "strip") {
		t.Errorf("%+v", m)
	}
}

// An invented rig plays by itself; contacts are numbered as they come.
func TestAnInventedRigIsFollowed(t *testing.T) {
	b := stocked(t)
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	c := followed(ctx, t, b, "pads", api.FollowStart{Invented: true})
	frames := 0
	for frames < 5 {
		var m api.PadsFollowed
		if message(ctx, t, c, &m); m.Kind != "frames" || m.Lost != 0 {
			t.Fatalf("%+v", m)
		}
		if frames == 0 && m.Report != nil && len(m.Report.Pads) != len(pads.Invent(1).Places) {
			t.Errorf("%d pads", len(m.Report.Pads))
		}
		frames += len(m.Frames)
	}
}

func TestFollowingRefuses(t *testing.T) {
	b := stocked(t)
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	at := "ws" + strings.TrimPrefix(b.server.URL, "http") + "/api/v1/hands/"
	if _, r, err := websocket.Dial(ctx, at+"trefoil/pads/follow", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://elsewhere.example"}}}); err == nil || r.StatusCode != 403 {
		t.Error("another site's page may follow")
	}
	if _, r, err := websocket.Dial(ctx, at+"paw/pads/follow", nil); err == nil || r.StatusCode != 404 {
		t.Error("a hand that is not there is followed")
	}
	c := followed(ctx, t, b, "pads", api.FollowStart{Calibration: "pressed_pad,force_N,pad_1\n0,0,1\n3,1,2\n", Places: "pad,x_mm,y_mm\n1,0,0\n"})
	var m api.PadsFollowed
	if message(ctx, t, c, &m); m.Kind != "fault" || !strings.Contains(m.Message, "row 3, column pressed_pad") {
		t.Errorf("%+v", m)
	}
	c = followed(ctx, t, b, "strips", 7)
	if _, _, err := c.Read(ctx); websocket.CloseStatus(err) != websocket.StatusUnsupportedData {
		t.Errorf("%v", err)
	}
	one := func(times ...float64) string {
		var list api.SensorReadings
		for _, at := range times {
			list.Readings = append(list.Readings, api.SensorReading{Time: at, Values: []float64{1}})
		}
		return jsonOf(t, list)
	}
	for _, s := range []scenario{
		{name: "unknown hand", method: "POST", url: "/hands/paw/readings/pads", body: one(1), status: 404},
		{name: "unknown sensor", method: "POST", url: "/hands/trefoil/readings/noses", body: one(1), status: 422},
		{name: "time runs back", method: "POST", url: "/hands/trefoil/readings/pads", body: one(1, 2, 2), status: 422, want: []string{"Reading 3 has time_s 2"}},
		{name: "nothing", method: "POST", url: "/hands/trefoil/readings/pads", body: `{"readings":[]}`, status: 422},
		{name: "nobody follows", method: "POST", url: "/hands/trefoil/readings/pads", body: one(1, 2), status: 200, want: []string{`"taken":2`, `"followers":0`}},
	} {
		b.run(s)
	}
}

// flat are the files of two pads at one place each, without noise to speak of, and posts of what they read.
func flat(t *testing.T, b *bench) (files api.FollowStart, post func(followers string, times ...float64)) {
	t.Helper()
	files = api.FollowStart{
		Calibration: "pressed_pad,force_N,pad_1,pad_2\n0,0,1,1\n0,0,1.01,0.99\n0,0,0.99,1.01\n1,1,2,1\n1,2,3,1\n1,3,4.01,1\n2,1,1,2\n2,2,1,3\n2,3,1,4.01\n",
		Places:      "pad,x_mm,y_mm\n1,0,0\n2,10,0\n",
	}
	return files, func(followers string, times ...float64) {
		t.Helper()
		var list api.SensorReadings
		for _, at := range times {
			list.Readings = append(list.Readings, api.SensorReading{Time: at, Values: []float64{3, 1}})
		}
		b.run(scenario{name: "post", method: "POST", url: "/hands/trefoil/readings/pads", body: jsonOf(t, list), status: 200, want: []string{`"followers":` + followers}})
	}
}

// followedPads is a page that follows the flat pads, and their rig.
func followedPads(t *testing.T) (ctx context.Context, b *bench, page *websocket.Conn, post func(followers string, times ...float64)) {
	t.Helper()
	b = stocked(t)
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	t.Cleanup(stop)
	files, post := flat(t, b)
	return ctx, b, followed(ctx, t, b, "pads", files), post
}

// A rig that begins anew while what came before still waits gets a picture of its own, and no message mixes the two.
func TestARigThatBeginsAnewIsNotMixed(t *testing.T) {
	ctx, _, c, post := followedPads(t)
	var m api.PadsFollowed
	if message(ctx, t, c, &m); m.Kind != "frames" || m.Report == nil {
		t.Fatalf("%+v", m)
	}
	post("1", 5) // wakes the stream, which then rests while both records come
	post("1", 6, 7)
	post("1", 0, 1)
	var times []float64
	for len(times) < 5 {
		m = api.PadsFollowed{}
		if message(ctx, t, c, &m); m.Kind != "frames" {
			t.Fatalf("%+v", m)
		}
		for i, f := range m.Frames {
			if i > 0 && f.Time <= m.Frames[i-1].Time {
				t.Errorf("one message has frames at %g s and then at %g s", m.Frames[i-1].Time, f.Time)
			}
			if f.Time == 0 && (m.Report == nil || len(m.Report.Contacts) != 1 || m.Report.Contacts[0].From != 0) {
				t.Errorf("the record that began anew goes on from the one before: %+v", m.Report)
			}
			times = append(times, f.Time)
		}
	}
	if want := []float64{5, 6, 7, 0, 1}; !reflect.DeepEqual(times, want) {
		t.Errorf("%v, want %v", times, want)
	}
}

// Two rigs that post for one hand are told to whoever follows: their readings make no picture.
func TestTwoRigsOnOneHandAreTold(t *testing.T) {
	ctx, _, c, post := followedPads(t)
	var m api.PadsFollowed
	message(ctx, t, c, &m)
	for k := range 10 {
		post("1", 100+float64(k))
		post("1", float64(k))
	}
	for m = (api.PadsFollowed{Kind: "frames"}); m.Kind == "frames"; {
		m = api.PadsFollowed{}
		message(ctx, t, c, &m)
	}
	if !strings.Contains(m.Message, "two rigs") {
		t.Errorf("%+v", m)
	}
}

// Readings so large that no force comes of them are told as a fault, not by silence.
func TestReadingsBeyondAllForcesAreTold(t *testing.T) {
	ctx, b, c, _ := followedPads(t)
	var m api.PadsFollowed
	message(ctx, t, c, &m)
	b.run(scenario{name: "post", method: "POST", url: "/hands/trefoil/readings/pads", body: `{"readings":[{"time_s":1,"values":[1.5e308,-1.5e308]}]}`, status: 200})
	if message(ctx, t, c, &m); m.Kind != "fault" || !strings.Contains(m.Message, "pad 1") {
		t.Errorf("%+v", m)
	}
}

// A page that goes away is no follower any more.
func TestAPageThatGoesAwayFollowsNoMore(t *testing.T) {
	b := stocked(t)
	ctx, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	files, post := flat(t, b)
	stays, goes := followed(ctx, t, b, "pads", files), followed(ctx, t, b, "pads", files)
	var m api.PadsFollowed
	message(ctx, t, stays, &m)
	message(ctx, t, goes, &m)
	post("2", 1)
	_ = goes.Close(websocket.StatusNormalClosure, "")
	for followers, at := 2, 2; followers != 1; at++ {
		r, err := http.Post(b.server.URL+"/api/v1/hands/trefoil/readings/pads", "application/json", strings.NewReader(fmt.Sprintf(`{"readings":[{"time_s":%d,"values":[1,1]}]}`, at)))
		if err != nil {
			t.Fatal(err)
		}
		var taken api.ReadingsTaken
		if err := json.NewDecoder(r.Body).Decode(&taken); err != nil || ctx.Err() != nil {
			t.Fatalf("%d still follow: %v, %v", followers, err, ctx.Err())
		}
		_ = r.Body.Close()
		followers = taken.Followers
	}
}
