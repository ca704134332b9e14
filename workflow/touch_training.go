package workflow

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"holdfast/domain"
	"holdfast/signals/sound"
	"holdfast/signals/touch"
)

// StartTouchTraining begins to learn from a hand's clips and returns at once. KindConflict while a training is under way.
func (l *Lab) StartTouchTraining(ctx context.Context, hand domain.ID, seed uint64) error {
	if _, err := l.Store.Hand(ctx, hand); err != nil {
		return err
	}
	t := &l.touches
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.hand != "" {
		return domain.Errorf(domain.KindConflict, "a training is under way already; wait for its end, or stop it")
	}
	work, stop := context.WithCancel(context.WithoutCancel(ctx))
	t.hand, t.running, t.cancel, t.done = hand, TouchProgress{Stage: "reading clips", Of: 1}, stop, make(chan struct{})
	if t.failed == nil {
		t.failed = map[domain.ID]string{}
	}
	delete(t.failed, hand)
	go l.trainTouchBeside(work, hand, seed, t.done)
	return nil
}

func (l *Lab) trainTouchBeside(ctx context.Context, hand domain.ID, seed uint64, done chan struct{}) {
	defer close(done)
	t := &l.touches
	_, err := l.TrainTouch(ctx, hand, seed, func(what string, done, of int) error {
		t.mu.Lock()
		t.running = TouchProgress{what, done, of}
		t.mu.Unlock()
		l.changed("touch", "", string(hand))
		return ctx.Err()
	})
	t.mu.Lock()
	if err != nil && ctx.Err() == nil {
		t.failed[hand] = err.Error()
	}
	t.hand = ""
	t.cancel()
	t.mu.Unlock()
	l.changed("touch", "", string(hand))
}

// StopTouchTraining stops the hand's training and waits for its end; KindNotFound when none is under way.
func (l *Lab) StopTouchTraining(ctx context.Context, hand domain.ID) error {
	t := &l.touches
	t.mu.Lock()
	if t.hand == "" || t.hand != hand {
		t.mu.Unlock()
		return domain.Errorf(domain.KindNotFound, "nothing is being learnt from sounds of hand %q", hand)
	}
	done := t.done
	t.cancel()
	t.mu.Unlock()
	select {
	case <-done:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// stop ends the training that is under way, if any, and waits for its end.
func (t *touches) stop() {
	t.mu.Lock()
	done := t.done
	if t.hand == "" {
		done = nil
	} else {
		t.cancel()
	}
	t.mu.Unlock()
	if done != nil {
		<-done
	}
}

// touchFeatures turns clips into what a model is trained on. Zones are learnt when every clip has one, positions likewise.
func (l *Lab) touchFeatures(ctx context.Context, clips []domain.TouchClip) (recipe touch.Recipe, d touch.Labelled, lengths []int, err error) {
	refuse := func(text string, args ...any) error { return domain.Errorf(domain.KindRefused, text, args...) }
	recipe = touch.DefaultRecipe(clips[0].RateHz)
	e, err := touch.NewExtractor(recipe)
	if err != nil {
		return recipe, d, nil, domain.Internal("preparing features", err)
	}
	zones, positions := touchTargets(clips)
	if !zones && !positions {
		return recipe, d, nil, refuse("some clips have a zone only and others a position only; give all that count a zone, or all a position")
	}
	d.X = touch.NewMatrix(len(clips), e.Count())
	names, at := make([]string, len(clips)), make([]float64, len(clips))
	object, pressure, day := touch.Varied{Name: "object"}, touch.Varied{Name: "pressure_kpa"}, touch.Varied{Name: "day"}
	for i, c := range clips {
		names[i], at[i] = c.Label.Zone, math.NaN()
		if c.Label.PositionMm != nil {
			at[i] = *c.Label.PositionMm
		}
		kPa := ""
		if c.PressureKPa != nil {
			kPa = strconv.FormatFloat(*c.PressureKPa, 'g', -1, 64)
		}
		object.Level, pressure.Level = append(object.Level, c.Object), append(pressure.Level, kPa)
		day.Level = append(day.Level, c.Session)
		own := math.NaN()
		if c.SNRDB != nil {
			own = *c.SNRDB
		}
		d.OwnSNRDB = append(d.OwnSNRDB, own)
	}
	d.Varied = []touch.Varied{object, pressure}
	if severalSpecimens(clips) { // of one specimen whole sessions are held out anyway
		d.Varied = append(d.Varied, day)
	}
	if zones {
		d.Zones = touch.ZonesAlong(names, at)
	}
	if positions {
		d.PositionMm = at
	}
	for i, c := range clips {
		if err := ctx.Err(); err != nil {
			return recipe, d, nil, err
		}
		if c.RateHz != clips[0].RateHz {
			return recipe, d, nil, refuse("clip %d is sampled at %d Hz, and clip %d at %d Hz; leave the ones of another rate out", c.ID, c.RateHz, clips[0].ID, clips[0].RateHz)
		}
		samples, err := l.touchSamples(ctx, c)
		if err != nil {
			return recipe, d, nil, err
		}
		if err := e.Extract(d.X.Row(i), samples); err != nil {
			return recipe, d, nil, refuse("clip %d: %v", c.ID, err)
		}
		lengths = append(lengths, len(samples))
		d.Session, d.Specimen = append(d.Session, c.Session), append(d.Specimen, c.Specimen)
		if zones {
			d.Zone = append(d.Zone, slices.Index(d.Zones, c.Label.Zone))
		}
	}
	return recipe, d, lengths, nil
}

func severalSpecimens(clips []domain.TouchClip) bool {
	return slices.ContainsFunc(clips, func(c domain.TouchClip) bool { return c.Specimen != clips[0].Specimen })
}

func touchTargets(clips []domain.TouchClip) (zones, positions bool) {
	zones, positions = true, true
	for _, c := range clips {
		zones = zones && c.Label.Zone != ""
		positions = positions && c.Label.PositionMm != nil
	}
	return zones, positions
}

// TouchSamples returns the samples of a hand's clip, full scale 1; KindNotFound when the hand has no such clip.
func (l *Lab) TouchSamples(ctx context.Context, hand domain.ID, clip int64) (domain.TouchClip, []float64, error) {
	all, err := l.Store.TouchClips(ctx, hand)
	if err != nil {
		return domain.TouchClip{}, nil, err
	}
	at := slices.IndexFunc(all, func(c domain.TouchClip) bool { return c.ID == clip })
	if at < 0 {
		return domain.TouchClip{}, nil, domain.Errorf(domain.KindNotFound, "hand %q has no clip %d in this lab", hand, clip)
	}
	samples, err := l.touchSamples(ctx, all[at])
	return all[at], samples, err
}

func (l *Lab) touchSamples(ctx context.Context, c domain.TouchClip) ([]float64, error) {
	file, _, err := l.Store.OpenRecording(ctx, c.Recording)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	r, err := sound.Read(file)
	if err != nil {
		return nil, domain.Internal(fmt.Sprintf("reading clip %d", c.ID), err)
	}
	return r.Channels[0], nil
}
