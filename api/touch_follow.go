package api

import (
	"context"
	"encoding/json"
	"net/http"
	"reflect"
	"strings"
	"time"

	"github.com/coder/websocket"
	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/readings"
	"holdfast/signals/pads"
	"holdfast/signals/strips"
)

// Sensors along or on a hand whose readings can be followed.
const (
	sensorPads   = "pads"
	sensorStrips = "strips"
)

// A picture is sent anew so often at most, what is known of all readings more seldom.
const (
	followPause  = 40 * time.Millisecond
	followReport = time.Second
	followStart  = 10 * time.Second // for the page to say what it follows with
	// mostFollowed contacts, the last ones, are told of.
	mostFollowed = 200
	// A rig that begins anew so often, each time sooner than this after the time before, is two rigs (common practice, no source).
	mostAnew  = 5
	soonAnew  = 2 * time.Second
	clashText = "Times run back again and again: two rigs post for this hand, or one begins anew at every turn. Let one rig post, with times that rise."
)

type readingsInput struct {
	Hand   string `path:"hand"`
	Sensor string `path:"sensor" enum:"pads,strips"`
	Body   SensorReadings
}

// followRoutes take a rig's readings and tell the streams of pictures in the contract; their handler stands beside huma, which knows
// no websockets.
func (s *Server) followRoutes(h huma.API) {
	o := op(http.MethodPost, "/hands/{hand}/readings/{sensor}", "post-readings", "touch", "What a rig's pads or strips read, for the pages that follow; nothing is kept", 200)
	o.MaxBodyBytes = 4 << 20
	register(s, h, o, func(ctx context.Context, in *readingsInput) (*struct{ Body ReadingsTaken }, error) {
		if _, err := s.lab.Store.Hand(ctx, domain.ID(in.Hand)); err != nil {
			return nil, err
		}
		for i, r := range in.Body.Readings {
			if i > 0 && !(r.Time > in.Body.Readings[i-1].Time) {
				return nil, domain.Errorf(domain.KindInvalid, "Reading %d has time_s %g, which must be later than the one before, %g; nothing was taken", i+1, r.Time, in.Body.Readings[i-1].Time)
			}
		}
		followed := s.rigs.of(rigName{domain.ID(in.Hand), in.Sensor}).put(in.Body.Readings)
		return &struct{ Body ReadingsTaken }{ReadingsTaken{Taken: len(in.Body.Readings), Followers: followed}}, nil
	})
	text := &huma.Schema{Type: huma.TypeString}
	for _, f := range []struct {
		sensor, id, what string
		answer           reflect.Type
	}{
		{sensorPads, "follow-pads", "what a rig's pads feel", reflect.TypeFor[PadsFollowed]()},
		{sensorStrips, "follow-strips", "a finger's shape by a rig's strips", reflect.TypeFor[StripsFollowed]()},
	} {
		o := op(http.MethodGet, "/hands/{hand}/"+f.sensor+"/follow", f.id, "touch", "A websocket: the first text message is a FollowStart; then "+f.what+" comes as text messages", 101)
		start := h.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[FollowStart](), true, "FollowStart")
		answer := h.OpenAPI().Components.Schemas.Schema(f.answer, true, f.answer.Name())
		o.Parameters = []*huma.Param{{Name: "hand", In: "path", Required: true, Schema: text}}
		o.RequestBody = &huma.RequestBody{Description: "As the first message.", Content: map[string]*huma.MediaType{"application/json": {Schema: start}}}
		o.Responses = map[string]*huma.Response{"101": {Description: "Pictures as readings come.", Content: map[string]*huma.MediaType{"application/json": {Schema: answer}}}}
		h.OpenAPI().AddOperation(&o)
	}
}

// watcher turns readings into frames. One that was just made has no past.
type watcher interface {
	follow(list []SensorReading) error // adds frames
	answer(lost int64, whole bool) any // what there is to tell since the last answer; whole: all that is known too
	refuse(text string) any
}

// follow answers a websocket of a page that follows a rig's pads or strips.
func (s *Server) follow(w http.ResponseWriter, r *http.Request, sensor string) {
	hand, ok := s.streamed(w, r)
	if !ok {
		return
	}
	c, ctx, stop, err := s.accept(w, r, mostTouchBytes)
	if err != nil {
		return
	}
	defer stop()
	var start FollowStart
	said, done := context.WithTimeout(ctx, followStart)
	_, text, err := c.Read(said)
	done()
	if err != nil || json.Unmarshal(text, &start) != nil {
		_ = c.Close(websocket.StatusUnsupportedData, "the first message must be a FollowStart")
		return
	}
	from := s.rigs.of(rigName{hand, sensor})
	anew, played, err := watcherOf(sensor, &start)
	if err != nil {
		sendJSON(ctx, c, emptyWatcher(sensor).refuse(err.Error()))
		_ = c.Close(websocket.StatusNormalClosure, "")
		return
	}
	gone := c.CloseRead(ctx)
	if played != nil {
		from = newRigStream()
		go play(gone, from, played)
	}
	followStream(gone, c, from, anew)
}

// followStream tells what comes until the other side has gone.
func followStream(ctx context.Context, c *websocket.Conn, from *rigStream, anew func() (watcher, error)) {
	now, err := anew()
	if err != nil {
		return
	}
	next, leave := from.join()
	defer leave()
	if !sendJSON(ctx, c, now.answer(0, true)) {
		return
	}
	var last float64
	var toldAll, began time.Time
	soon := 0 // records in a row that the next one cut short
	for first := true; ; {
		list, upTo, lost, more := from.since(next)
		next = upTo
		if len(list) == 0 {
			select {
			case <-ctx.Done():
				return
			case <-more:
			}
			continue
		}
		if !first && list[0].Time <= last { // the rig began anew
			if soon++; time.Since(began) > soonAnew {
				soon = 0
			}
			if soon >= mostAnew {
				sendJSON(ctx, c, now.refuse(clashText))
				_ = c.Close(websocket.StatusNormalClosure, "")
				return
			}
			if now, err = anew(); err != nil {
				return
			}
			first = true
		}
		if first {
			began = time.Now()
		}
		last = list[len(list)-1].Time
		if err := now.follow(list); err != nil {
			sendJSON(ctx, c, now.refuse(err.Error()))
			_ = c.Close(websocket.StatusNormalClosure, "")
			return
		}
		whole := first || time.Since(toldAll) > followReport
		if whole {
			toldAll = time.Now()
		}
		if !sendJSON(ctx, c, now.answer(lost, whole)) {
			return
		}
		first = false
		select {
		case <-ctx.Done():
			return
		case <-time.After(followPause):
		}
	}
}

func sendJSON(ctx context.Context, c *websocket.Conn, v any) bool {
	text, err := json.Marshal(v)
	if err != nil {
		return false
	}
	ctx, done := context.WithTimeout(ctx, liveWrite)
	defer done()
	return c.Write(ctx, websocket.MessageText, text) == nil
}

// watcherOf reads what a page wants to follow with. played are the readings of the invented rig, when that was asked for.
func watcherOf(sensor string, start *FollowStart) (anew func() (watcher, error), played []SensorReading, err error) {
	files := TouchFiles{Calibration: start.Calibration, Places: start.Places}
	if start.Invented {
		invented, err := inventedFiles(sensor)
		if err != nil {
			return nil, nil, err
		}
		files = *invented
		series, err := readings.ReadSeries(strings.NewReader(files.Record), map[string]string{sensorPads: "pad_", sensorStrips: "strip_"}[sensor])
		if err != nil {
			return nil, nil, err
		}
		for i, row := range series.Readings {
			played = append(played, SensorReading{Time: series.Times[i], Values: row})
		}
	}
	if sensor == sensorPads {
		array, err := arrayOf(&files)
		if err != nil {
			return nil, nil, err
		}
		return func() (watcher, error) {
			w, err := pads.NewWatcher(array, touchChance)
			return &padWatcher{w: w}, err
		}, played, nil
	}
	finger, places, err := stripsOf(&files)
	if err != nil {
		return nil, nil, err
	}
	return func() (watcher, error) {
		w, err := strips.NewWatcher(finger, places, bandLevel, shapePoints)
		return &stripWatcher{w: w}, err
	}, played, nil
}

func emptyWatcher(sensor string) watcher {
	if sensor == sensorPads {
		return &padWatcher{}
	}
	return &stripWatcher{}
}

// play puts readings into a stream at their own times, again and again, the times going on.
func play(ctx context.Context, to *rigStream, list []SensorReading) {
	step := list[1].Time - list[0].Time
	tick := time.NewTicker(time.Duration(step * float64(time.Second)))
	defer tick.Stop()
	for k := 0; ; k++ {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		to.put([]SensorReading{{Time: float64(k) * step, Values: list[k%len(list)].Values}})
	}
}

type padWatcher struct {
	w    *pads.Watcher
	told PadsFollowed
}

func (p *padWatcher) follow(list []SensorReading) error {
	for _, r := range list {
		frame, err := p.w.Follow(r.Time, r.Values)
		if err != nil {
			return err
		}
		p.told.Frames = append(p.told.Frames, *frame)
	}
	return nil
}

func (p *padWatcher) answer(lost int64, whole bool) any {
	a := p.told
	a.Kind, a.Lost = "frames", lost
	if whole {
		a.Report = p.w.Report()
		if n := len(a.Report.Contacts); n > mostFollowed {
			a.Report.Contacts = a.Report.Contacts[n-mostFollowed:]
		}
	}
	p.told = PadsFollowed{}
	return a
}

func (p *padWatcher) refuse(text string) any { return PadsFollowed{Kind: "fault", Message: text} }

type stripWatcher struct {
	w    *strips.Watcher
	told StripsFollowed
}

func (s *stripWatcher) follow(list []SensorReading) error {
	for _, r := range list {
		frame, err := s.w.Follow(r.Time, r.Values)
		if err != nil {
			return err
		}
		s.told.Frames = append(s.told.Frames, *frame)
	}
	return nil
}

func (s *stripWatcher) answer(lost int64, whole bool) any {
	a := s.told
	a.Kind, a.Lost = "frames", lost
	if whole {
		a.Report = s.w.Report()
	}
	s.told = StripsFollowed{}
	return a
}

func (s *stripWatcher) refuse(text string) any { return StripsFollowed{Kind: "fault", Message: text} }

// inventedFiles are those of an array or a finger that does not exist.
func inventedFiles(sensor string) (*TouchFiles, error) {
	var out *struct{ Body TouchFiles }
	var err error
	if sensor == sensorPads {
		out, err = inventedPads()
	} else {
		out, err = inventedStrips()
	}
	if err != nil {
		return nil, err
	}
	return &out.Body, nil
}
