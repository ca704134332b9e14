package api

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"reflect"
	"strconv"
	"time"

	"github.com/coder/websocket"
	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/signals/sound"
	"holdfast/signals/touch"
	"holdfast/signals/touch/listen"
)

// Of what a live stream sends, so much may wait before some is lost, and so much may come in one message.
const (
	liveBufferS   = 5
	mostLiveBytes = 1 << 20
	liveWrite     = 5 * time.Second
)

// tellLive puts the live stream into the contract; its handler stands beside huma, which knows no websockets.
func tellLive(h huma.API) {
	o := op(http.MethodGet, "/hands/{hand}/touch/live", "listen-to-touches", "touch", "A websocket: raw samples of one channel go in as binary messages, every touch comes back as a text message", 101)
	answer := h.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[TouchAnswer](), true, "TouchAnswer")
	text := &huma.Schema{Type: huma.TypeString}
	o.Parameters = []*huma.Param{
		{Name: "hand", In: "path", Required: true, Schema: text},
		{Name: "rate_hz", In: "query", Required: true, Schema: &huma.Schema{Type: huma.TypeInteger}},
		{Name: "format", In: "query", Description: "s16, s24, s32 or f32 (when left out), little-endian", Schema: text},
	}
	o.Responses = map[string]*huma.Response{"101": {
		Description: "Touches as they come. While nothing was learnt it is only said that something touched.",
		Content:     map[string]*huma.MediaType{"application/json": {Schema: answer}},
	}}
	h.OpenAPI().AddOperation(&o)
}

// live answers touches over a websocket at GET /api/v1/hands/{hand}/touch/live?rate_hz=48000&format=f32: binary messages are raw
// samples of one channel, each answer is a text message with a TouchAnswer. While nothing was learnt, touches are cut out all
// the same and nothing is said of where they were. Pages of other sites are refused, as for writes.
func (s *Server) live(w http.ResponseWriter, r *http.Request) {
	refuse := func(status int, kind domain.Kind, text string) { writeProblem(w, newProblem(status, kind, text)) }
	hand, ok := s.streamed(w, r)
	if !ok {
		return
	}
	model, _, err := s.lab.TouchModel(r.Context(), hand)
	if err != nil && domain.KindOf(err) != domain.KindNotFound {
		s.log.Error("request failed", "operation", "listen to touches", "error", err)
		refuse(http.StatusInternalServerError, domain.KindInternal, "The stored model can not be read; the log says why.")
		return
	}
	q := r.URL.Query()
	format := q.Get("format")
	if format == "" {
		format = listen.F32
	}
	decoder, err := listen.NewDecoder(format, 1, 1)
	if err != nil {
		refuse(http.StatusUnprocessableEntity, domain.KindInvalid, err.Error())
		return
	}
	rateHz, _ := strconv.Atoi(q.Get("rate_hz"))
	ear, err := earOf(model, rateHz)
	if err != nil {
		refuse(http.StatusUnprocessableEntity, domain.KindInvalid, err.Error())
		return
	}
	c, ctx, stop, err := s.accept(w, r, mostLiveBytes)
	if err != nil {
		return
	}
	defer stop()
	l := &liveTouch{c: c, rateHz: rateHz, model: model, ear: ear, queue: listen.NewQueue(liveBufferS * rateHz), start: time.Now()}
	go l.receive(ctx, decoder)
	l.answerAll(ctx)
}

// ear finds the touches of a stream.
type ear interface {
	Feed(block []float64, each func(listen.Touch)) error
	Skip(lost int64, each func(listen.Touch)) error
}

// earOf returns what answers by a model, or only cuts touches out when there is none (nil).
func earOf(model *touch.Model, rateHz int) (ear, error) {
	if model != nil {
		rule := listen.RuleFor(model)
		rule.RateHz = rateHz
		return listen.New(model, rule)
	}
	if rateHz < sound.MinRateHz || rateHz > sound.MaxRateHz { // before a recipe is made for it
		return nil, fmt.Errorf("rate_hz=%d is not possible: say the sampling rate, %d to %d Hz", rateHz, sound.MinRateHz, sound.MaxRateHz)
	}
	recipe := touch.DefaultRecipe(rateHz)
	c, err := listen.NewCutter(listen.DefaultRule(rateHz, recipe.Samples()))
	return cutOnly{c}, err
}

// cutOnly says that something touched and not where.
type cutOnly struct{ *listen.Cutter }

// Feed takes samples; see [listen.Cutter.Feed].
func (c cutOnly) Feed(block []float64, each func(listen.Touch)) error {
	return c.Cutter.Feed(block, untold(each))
}

// Skip leaves lost samples out.
func (c cutOnly) Skip(lost int64, each func(listen.Touch)) error {
	c.Cutter.Skip(lost, untold(each))
	return nil
}

func untold(each func(listen.Touch)) func(listen.Cut) {
	nowhere := touch.Telling{PositionMm: math.NaN()}
	return func(c listen.Cut) { each(listen.Touch{Cut: c, Telling: nowhere}) }
}

// liveTouch is one stream that is being answered.
type liveTouch struct {
	c      *websocket.Conn
	rateHz int
	model  *touch.Model // nil: nothing was learnt
	ear    ear
	queue  *listen.Queue
	start  time.Time
	lost   int64
	fault  error // of what was received; read after the queue is closed
}

// receive puts what comes into the queue until the other side has gone.
func (l *liveTouch) receive(ctx context.Context, d *listen.Decoder) {
	defer l.queue.Close()
	var samples []float64
	for {
		kind, message, err := l.c.Read(ctx)
		if err != nil {
			return
		}
		if kind != websocket.MessageBinary {
			continue
		}
		came := int64(time.Since(l.start))
		samples, l.fault = d.Decode(samples[:0], message)
		l.queue.Put(samples, came)
		if l.fault != nil {
			return
		}
	}
}

// answerAll answers what the queue holds until it is closed.
func (l *liveTouch) answerAll(ctx context.Context) {
	var samples []float64
	for {
		var lost, came int64
		var ok bool
		if samples, lost, came, ok = l.queue.Take(samples); !ok {
			break
		}
		each := func(t listen.Touch) { l.send(ctx, l.answer(t, time.Duration(came))) }
		var err error
		if lost > 0 {
			l.lost += lost
			err = l.ear.Skip(lost, each)
			l.send(ctx, TouchAnswer{Kind: "lost", Lost: l.lost, Message: "Samples came faster than they could be answered; touches in them are not told."})
		}
		if err == nil {
			err = l.ear.Feed(samples, each)
		}
		if err != nil {
			l.send(ctx, TouchAnswer{Kind: "fault", Message: err.Error()})
			return
		}
	}
	if l.fault != nil {
		l.send(ctx, TouchAnswer{Kind: "fault", Message: l.fault.Error()})
		_ = l.c.Close(websocket.StatusUnsupportedData, "not samples")
	}
}

func (l *liveTouch) answer(t listen.Touch, came time.Duration) TouchAnswer {
	a := TouchAnswer{
		Kind: "touch", OnsetS: t.Seconds(l.rateHz), StartS: float64(t.Start) / float64(l.rateHz), Samples: len(t.Clip), Zone: t.Zone, Probabilities: t.Probabilities, Unsure: t.Unsure, Distance: t.Distance, Crowded: t.Crowded,
		LatencyMs: 1000 * (time.Since(l.start) - came).Seconds(), Lost: l.lost,
	}
	if !math.IsNaN(t.PositionMm) {
		a.PositionMm, a.LowMm, a.HighMm = &t.PositionMm, &t.LowMm, &t.HighMm
		deviation := (t.HighMm - t.LowMm) / (2 * numeric.NormalQuantile((1+l.model.Level)/2))
		a.ErrorMm = &deviation
	}
	return a
}

// send writes one answer; one that can not be sent in time ends the stream.
func (l *liveTouch) send(ctx context.Context, a TouchAnswer) {
	text, err := json.Marshal(a)
	if err != nil {
		return
	}
	ctx, done := context.WithTimeout(ctx, liveWrite)
	defer done()
	if l.c.Write(ctx, websocket.MessageText, text) != nil {
		l.c.CloseNow()
	}
}
