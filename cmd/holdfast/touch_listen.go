package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"holdfast/signals/sound"
	"holdfast/signals/touch"
	"holdfast/signals/touch/listen"
)

type touchListenCommand struct {
	Model    string  `required:"" placeholder:"MODEL" help:"File that touch train wrote."`
	From     string  `placeholder:"FILE" help:"Recording to listen to; - is the standard input."`
	Socket   string  `placeholder:"ADDR" help:"Wait at this loopback address, such as 127.0.0.1:8490, for a rig that sends raw samples over TCP."`
	RateHz   int     `placeholder:"HZ" help:"Sampling rate of raw samples; it must be the model's."`
	Format   string  `placeholder:"NAME" help:"wav, s16, s24, s32 or f32 (raw samples, little-endian). Files are taken for wav, what a rig sends for s16."`
	Channels int     `default:"1" placeholder:"N" help:"How many channels raw samples have."`
	Channel  int     `default:"1" help:"Channel to listen to, counted from 1."`
	Once     bool    `help:"End when the first rig has gone, instead of waiting for the next."`
	BufferS  float64 `default:"10" placeholder:"S" help:"How many seconds of a rig's samples may wait before some are lost."`
	JSON     bool    `name:"json" help:"Print a line of JSON for each touch."`
}

// heardTouch is the line of JSON for a touch.
type heardTouch struct {
	Onset         float64            `json:"onset_s"`
	Zone          string             `json:"zone,omitempty"`
	Probabilities map[string]float64 `json:"probabilities,omitempty"`
	PositionMm    *float64           `json:"position_mm,omitempty"`
	LowMm         *float64           `json:"position_low_mm,omitempty"`
	HighMm        *float64           `json:"position_high_mm,omitempty"`
	Unsure        bool               `json:"unsure"`
	Distance      float64            `json:"distance"`
	Limit         float64            `json:"unlike_beyond"`
	Crowded       bool               `json:"struck_again"`
	LatencyMs     float64            `json:"latency_ms"`
	Lost          int64              `json:"lost_samples"`
}

// hearing is one stream that is being answered.
type hearing struct {
	env      *environment
	model    *touch.Model
	listener *listen.Listener
	json     bool
	lost     int64
	touches  int
}

// Run tells touches as they come.
func (c *touchListenCommand) Run(env *environment) error {
	model, decoder, err := c.prepare()
	if err != nil {
		return err
	}
	if c.Socket != "" {
		return c.serveRigs(env, model)
	}
	var in io.Reader = env.stdin
	name := "standard input"
	if c.From != "-" {
		f, err := os.Open(c.From)
		if err != nil {
			return badInput(fileError(c.From, err))
		}
		defer f.Close()
		in, name = f, filepath.Base(c.From)
	}
	h, err := newHearing(env, model, c.JSON)
	if err != nil {
		return badInput(err)
	}
	if decoder != nil {
		err = h.raw(in, decoder)
	} else {
		err = h.recording(in, c.Channel)
	}
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", name, err))
	}
	return h.close()
}

// prepare checks the flags and reads the model. The decoder is nil for WAV files.
func (c *touchListenCommand) prepare() (*touch.Model, *listen.Decoder, error) {
	usage := func(text string, args ...any) (*touch.Model, *listen.Decoder, error) {
		return nil, nil, usageError{fmt.Errorf(text, args...)}
	}
	if (c.From == "") == (c.Socket == "") {
		return usage("give either --from, a recording, or --socket, where a rig sends samples to")
	}
	if c.Format == "" {
		c.Format = "wav"
		if c.Socket != "" {
			c.Format = listen.S16
		}
	}
	if !(c.BufferS >= 0.1 && c.BufferS <= 600) {
		return usage("--buffer-s %g is not possible: choose 0.1 to 600", c.BufferS)
	}
	if c.Channel < 1 {
		return usage("--channel %d: channels are counted from 1", c.Channel)
	}
	if c.Socket != "" && c.Format == "wav" {
		return usage("a rig sends raw samples: choose --format %s", strings.Join(listen.Formats, ", "))
	}
	var decoder *listen.Decoder
	var err error
	if c.Format != "wav" {
		if decoder, err = listen.NewDecoder(c.Format, c.Channels, c.Channel); err != nil {
			return usage("--format, --channels or --channel: %w", err)
		}
		if c.RateHz == 0 {
			return usage("raw samples do not say how fast they come: give --rate-hz")
		}
	}
	model, err := readTouchModel(c.Model)
	if err != nil {
		return nil, nil, badInput(err)
	}
	if decoder != nil && c.RateHz != model.Recipe.RateHz {
		return nil, nil, inputError{fmt.Errorf("--rate-hz %d: the model was trained at %d Hz; set the rig to that, or train with clips of this rate", c.RateHz, model.Recipe.RateHz)}
	}
	return model, decoder, nil
}

func newHearing(env *environment, model *touch.Model, asJSON bool) (*hearing, error) {
	l, err := listen.New(model, listen.RuleFor(model))
	return &hearing{env: env, model: model, listener: l, json: asJSON}, err
}

// pieceBytes is how much of a stream is read at once at most.
const pieceBytes = 16 << 10

// recording answers a WAV file.
func (h *hearing) recording(in io.Reader, channel int) error {
	r, err := sound.Read(in)
	if err != nil {
		return err
	}
	if channel > len(r.Channels) {
		return fmt.Errorf("it has %s, and --channel asks for number %d", counted(len(r.Channels), "channel"), channel)
	}
	if r.RateHz != h.model.Recipe.RateHz {
		return fmt.Errorf("it is sampled at %d Hz, and the model was trained at %d Hz; convert it", r.RateHz, h.model.Recipe.RateHz)
	}
	for rest := r.Channels[channel-1]; len(rest) > 0 && h.env.ctx.Err() == nil; {
		n := min(4096, len(rest))
		if err := h.feed(rest[:n], time.Now()); err != nil {
			return err
		}
		rest = rest[n:]
	}
	return h.env.ctx.Err()
}

// raw answers raw samples; whoever sends waits while a touch is answered.
func (h *hearing) raw(in io.Reader, d *listen.Decoder) error {
	piece := make([]byte, pieceBytes)
	var samples []float64
	for h.env.ctx.Err() == nil {
		n, err := in.Read(piece)
		came := time.Now()
		var bad error
		samples, bad = d.Decode(samples[:0], piece[:n])
		if failed := h.feed(samples, came); failed != nil {
			return failed
		}
		if bad != nil {
			return bad
		}
		if errors.Is(err, io.EOF) {
			return wholeFrames(d)
		}
		if err != nil {
			return err
		}
	}
	return h.env.ctx.Err()
}

func wholeFrames(d *listen.Decoder) error {
	if d.Rest() > 0 {
		return fmt.Errorf("the samples end within a frame, %s after its beginning; are --format and --channels right?", counted(d.Rest(), "byte"))
	}
	return nil
}

func (h *hearing) feed(samples []float64, came time.Time) error {
	var written error
	err := h.listener.Feed(samples, func(t listen.Touch) { written = errors.Join(written, h.tell(t, time.Since(came))) })
	return errors.Join(err, written)
}

// close answers a touch that was not over and sums up.
func (h *hearing) close() error {
	var written error
	now := time.Now()
	err := h.listener.End(func(t listen.Touch) { written = errors.Join(written, h.tell(t, time.Since(now))) })
	if err := errors.Join(err, written); err != nil {
		return err
	}
	touches := "1 touch"
	if h.touches != 1 {
		touches = fmt.Sprintf("%d touches", h.touches)
	}
	fmt.Fprintf(h.env.stderr, "%s in %.1f s of sound.\n", touches, float64(h.listener.At())/float64(h.model.Recipe.RateHz))
	return nil
}

// tell prints one touch.
func (h *hearing) tell(t listen.Touch, latency time.Duration) error {
	h.touches++
	if h.json {
		line := heardTouch{
			Onset: t.Seconds(h.model.Recipe.RateHz), Zone: t.Zone, Unsure: t.Unsure, Distance: t.Distance, Limit: h.model.Novelty.Limit, Crowded: t.Crowded,
			LatencyMs: 1000 * latency.Seconds(), Lost: h.lost,
		}
		if t.Probabilities != nil {
			line.Probabilities = map[string]float64{}
			for i, p := range t.Probabilities {
				line.Probabilities[h.model.Zones[i]] = p
			}
		}
		if !math.IsNaN(t.PositionMm) {
			line.PositionMm, line.LowMm, line.HighMm = &t.PositionMm, &t.LowMm, &t.HighMm
		}
		return json.NewEncoder(h.env.stdout).Encode(line)
	}
	text := fmt.Sprintf("%9.3f s  ", t.Seconds(h.model.Recipe.RateHz))
	if t.Unsure {
		text += fmt.Sprintf("not sure: %.1f standard deviations from all that was trained on, limit %.1f; most like ", t.Distance, h.model.Novelty.Limit)
	}
	if t.Zone != "" {
		text += fmt.Sprintf("%s %.2f", t.Zone, t.Probability)
	}
	if !math.IsNaN(t.PositionMm) {
		if t.Zone != "" {
			text += ", "
		}
		text += fmt.Sprintf("%.1f mm (%.1f to %.1f)", t.PositionMm, t.LowMm, t.HighMm)
	}
	if t.Crowded {
		text += ", struck again before it was over"
	}
	_, err := fmt.Fprintf(h.env.stdout, "%s, answered in %.1f ms\n", text, 1000*latency.Seconds())
	return err
}

// serveRigs answers one rig after the other until the program is asked to stop.
func (c *touchListenCommand) serveRigs(env *environment, model *touch.Model) error {
	place, err := listenAt("--socket", c.Socket)
	if err != nil {
		return err
	}
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		select {
		case <-env.ctx.Done():
		case <-stop:
		}
		place.Close()
	}()
	fmt.Fprintf(env.stderr, "Waiting at %s for raw samples: %s, %d Hz, %s. Stop with Ctrl+C. No safety function.\n", place.Addr(), c.Format, c.RateHz, counted(c.Channels, "channel"))
	if env.ready != nil {
		env.ready(place.Addr().String())
	}
	for {
		rig, err := place.Accept()
		if env.ctx.Err() != nil {
			return nil
		}
		if err != nil {
			return fmt.Errorf("waiting for a rig: %w", err)
		}
		if err := c.hearRig(env, model, rig); err != nil {
			if c.Once {
				return badInput(fmt.Errorf("the rig at %s: %w", rig.RemoteAddr(), err))
			}
			fmt.Fprintf(env.stderr, "the rig at %s: %v\n", rig.RemoteAddr(), err)
		}
		if c.Once {
			return nil
		}
	}
}

// hearRig answers one connection. Samples are received beside the answering, so that what waits can be told from what is
// lost.
func (c *touchListenCommand) hearRig(env *environment, model *touch.Model, rig net.Conn) error {
	d, err := listen.NewDecoder(c.Format, c.Channels, c.Channel)
	if err != nil {
		rig.Close()
		return err
	}
	h, err := newHearing(env, model, c.JSON)
	if err != nil {
		rig.Close()
		return err
	}
	q := listen.NewQueue(int(c.BufferS * float64(model.Recipe.RateHz)))
	received := make(chan error, 1)
	start := time.Now()
	go func() { received <- receive(env, rig, d, q, start) }()
	var samples []float64
	for failed := error(nil); ; {
		var lost, came int64
		var ok bool
		if samples, lost, came, ok = q.Take(samples); !ok {
			return errors.Join(failed, <-received, h.close())
		}
		if failed == nil {
			failed = h.rigPart(samples, lost, start.Add(time.Duration(came)))
		}
		if failed != nil {
			rig.Close() // the receiver ends, and with it the queue
		}
	}
}

func (h *hearing) rigPart(samples []float64, lost int64, came time.Time) error {
	if lost > 0 {
		h.lost += lost
		fmt.Fprintf(h.env.stderr, "%d samples (%.3f s) came faster than they could be answered and are lost; touches in them are not told.\n", lost, float64(lost)/float64(h.model.Recipe.RateHz))
		var written error
		err := h.listener.Skip(lost, func(t listen.Touch) { written = errors.Join(written, h.tell(t, time.Since(came))) })
		if err := errors.Join(err, written); err != nil {
			return err
		}
	}
	return h.feed(samples, came)
}

// receive puts what a rig sends into the queue until it has gone or the program is asked to stop.
func receive(env *environment, rig net.Conn, d *listen.Decoder, q *listen.Queue, start time.Time) error {
	defer q.Close()
	defer rig.Close()
	ended := make(chan struct{})
	defer close(ended)
	go func() {
		select {
		case <-env.ctx.Done():
			rig.Close()
		case <-ended:
		}
	}()
	piece := make([]byte, pieceBytes)
	var samples []float64
	for {
		n, err := rig.Read(piece)
		came := int64(time.Since(start))
		var bad error
		samples, bad = d.Decode(samples[:0], piece[:n])
		q.Put(samples, came)
		switch {
		case bad != nil:
			return bad
		case errors.Is(err, io.EOF):
			return wholeFrames(d)
		case env.ctx.Err() != nil:
			return nil
		case err != nil:
			return err
		}
	}
}
