package api

import (
	"context"
	"encoding/json"
	"math"
	"net/http"
	"strconv"
	"time"

	"github.com/coder/websocket"

	"holdfast/domain"
	"holdfast/signals/touch"
	"holdfast/signals/touch/listen"
)

// Of what a live stream sends, so much may wait before some is lost, and so much may come in one message.
const (
	liveBufferS   = 5
	mostLiveBytes = 1 << 20
	liveWrite     = 5 * time.Second
)

// live answers touches over a websocket at GET /api/v1/hands/{hand}/touch/live?rate_hz=48000&format=f32: binary messages are raw
// samples of one channel, each answer is a text message with a TouchAnswer. Pages of other sites are refused, as for writes.
func (s *Server) live(w http.ResponseWriter, r *http.Request) {
	refuse := func(status int, kind domain.Kind, text string) { writeProblem(w, newProblem(status, kind, text)) }
	if !ownOrigin(r) {
		refuse(http.StatusForbidden, domain.KindRefused, "This request came from another site's page; only this server's own page and programs without a browser may listen.")
		return
	}
	model, _, err := s.lab.TouchModel(r.Context(), domain.ID(r.PathValue("hand")))
	if domain.KindOf(err) == domain.KindNotFound {
		refuse(http.StatusNotFound, domain.KindNotFound, err.Error())
		return
	}
	if err != nil {
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
	rule := listen.RuleFor(model)
	rule.RateHz, _ = strconv.Atoi(q.Get("rate_hz"))
	listener, err := listen.New(model, rule)
	if err != nil {
		refuse(http.StatusUnprocessableEntity, domain.KindInvalid, err.Error())
		return
	}
	c, err := websocket.Accept(w, r, nil)
	if err != nil {
		return // it has answered itself
	}
	defer c.CloseNow()
	c.SetReadLimit(mostLiveBytes)
	ctx, stop := context.WithCancel(r.Context())
	defer stop()
	go func() {
		select {
		case <-s.closing:
			stop()
		case <-ctx.Done():
		}
	}()
	l := &liveTouch{c: c, model: model, listener: listener, queue: listen.NewQueue(liveBufferS * model.Recipe.RateHz), start: time.Now()}
	go l.receive(ctx, decoder)
	l.answerAll(ctx)
}

// liveTouch is one stream that is being answered.
type liveTouch struct {
	c        *websocket.Conn
	model    *touch.Model
	listener *listen.Listener
	queue    *listen.Queue
	start    time.Time
	lost     int64
	fault    error // of what was received; read after the queue is closed
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
			err = l.listener.Skip(lost, each)
			l.send(ctx, TouchAnswer{Kind: "lost", Lost: l.lost, Message: "Samples came faster than they could be answered; touches in them are not told."})
		}
		if err == nil {
			err = l.listener.Feed(samples, each)
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
		Kind: "touch", OnsetS: t.Seconds(l.model.Recipe.RateHz), Zone: t.Zone, Probabilities: t.Probabilities, Unsure: t.Unsure, Distance: t.Distance, Crowded: t.Crowded,
		LatencyMs: 1000 * (time.Since(l.start) - came).Seconds(), Lost: l.lost,
	}
	if !math.IsNaN(t.PositionMm) {
		a.PositionMm, a.LowMm, a.HighMm = &t.PositionMm, &t.LowMm, &t.HighMm
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
