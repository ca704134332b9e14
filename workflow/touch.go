package workflow

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"sync"

	"holdfast/domain"
	"holdfast/signals/sound"
	"holdfast/signals/touch"
)

// TouchSound is a clip with its WAV file, to be kept.
type TouchSound struct {
	domain.TouchClip // its key may be empty: a digest of the sound is taken
	Name             string
	WAV              []byte
}

// TouchProgress says how far a training is.
type TouchProgress struct {
	Stage    string
	Done, Of int
}

// TouchState is what is known of a hand's sounds.
type TouchState struct {
	Clips   []domain.TouchClip
	Model   *domain.TouchModel // the newest; nil: none
	Stale   bool               // clips or labels changed since it was trained
	Running *TouchProgress     // nil: no training is under way
	Failed  string             // why the last training gave nothing
}

// touches is what the touch lab does beside requests: one training at a time, and the models that were read.
type touches struct {
	mu      sync.Mutex
	hand    domain.ID // whose training is under way; empty: none
	running TouchProgress
	cancel  context.CancelFunc
	done    chan struct{}
	failed  map[domain.ID]string

	read   *touch.Model // the model that was asked for last: reading one takes longer than asking it
	readOf string       // its recording
}

// CheckTouchClip says what would keep a sound from being stored, without storing it.
func (l *Lab) CheckTouchClip(s *TouchSound) error {
	_, err := l.readyClip(s)
	return err
}

// KeepTouchClips stores sounds of one hand, all or none. A clip's sampling rate and length are read from its file.
func (l *Lab) KeepTouchClips(ctx context.Context, list []TouchSound) (stored []domain.TouchClip, repeated []bool, err error) {
	clips := make([]domain.TouchClip, len(list))
	for i := range list {
		if clips[i], err = l.readyClip(&list[i]); err != nil {
			return nil, nil, err
		}
		if _, err := l.Store.Hand(ctx, clips[i].Hand); err != nil {
			return nil, nil, err
		}
	}
	for i, s := range list {
		rec, err := l.Store.PutRecording(ctx, s.Name, "audio/wav", bytes.NewReader(s.WAV))
		if err != nil {
			return nil, nil, err
		}
		clips[i].Recording = rec.SHA256
	}
	if stored, repeated, err = l.Store.AddTouchClips(ctx, clips); err == nil && len(clips) > 0 {
		l.changed("touch", "", string(clips[0].Hand))
	}
	return stored, repeated, err
}

func (l *Lab) readyClip(s *TouchSound) (domain.TouchClip, error) {
	c := s.TouchClip
	for _, text := range []*string{&c.Session, &c.Specimen, &c.Object, &c.Label.Zone, &c.Label.By} {
		*text = strings.TrimSpace(*text)
	}
	fault := func(reason string) error {
		return invalid("this clip can not be accepted; mend the fields named", domain.FieldError{Field: "sound", Value: s.Name, Reason: reason})
	}
	if len(s.WAV) > domain.MostTouchClip {
		return c, fault(fmt.Sprintf("must be at most %d bytes: cut the touch out", domain.MostTouchClip))
	}
	r, err := sound.Read(bytes.NewReader(s.WAV))
	if err != nil {
		return c, fault(err.Error())
	}
	c.RateHz, c.Samples = r.RateHz, r.Len()
	if c.Key == "" {
		sum := sha256.Sum256(s.WAV)
		c.Key = "sound-" + hex.EncodeToString(sum[:16])
	}
	now := l.Clock.Now()
	if c.Recorded.IsZero() {
		c.Recorded = now
	}
	if c.Label.At.IsZero() {
		c.Label.At = now
	}
	return c, c.Validate()
}

// LabelTouchClips says where clips of a hand were touched, all or none; earlier labels stay on record.
func (l *Lab) LabelTouchClips(ctx context.Context, hand domain.ID, list []domain.TouchLabel) error {
	for i := range list {
		list[i].Zone, list[i].By, list[i].At = strings.TrimSpace(list[i].Zone), strings.TrimSpace(list[i].By), l.Clock.Now()
		if err := list[i].Validate(); err != nil {
			return err
		}
	}
	err := l.Store.LabelTouchClips(ctx, hand, list)
	if err == nil {
		l.changed("touch", "", string(hand))
	}
	return err
}

// TouchLab returns what is known of a hand's sounds.
func (l *Lab) TouchLab(ctx context.Context, hand domain.ID) (TouchState, error) {
	var s TouchState
	if _, err := l.Store.Hand(ctx, hand); err != nil {
		return s, err
	}
	var err error
	if s.Clips, err = l.Store.TouchClips(ctx, hand); err != nil {
		return s, err
	}
	models, err := l.Store.TouchModels(ctx, hand)
	if err != nil {
		return s, err
	}
	if n := len(models); n > 0 {
		s.Model = &models[n-1]
		s.Stale = s.Model.Digest != touchDigest(usable(s.Clips))
	}
	l.touches.mu.Lock()
	defer l.touches.mu.Unlock()
	if l.touches.hand == hand {
		p := l.touches.running
		s.Running = &p
	}
	s.Failed = l.touches.failed[hand]
	return s, nil
}

// TouchModel returns the newest model of a hand, to be asked and not changed; KindNotFound when none was trained.
func (l *Lab) TouchModel(ctx context.Context, hand domain.ID) (*touch.Model, domain.TouchModel, error) {
	models, err := l.Store.TouchModels(ctx, hand)
	if err != nil {
		return nil, domain.TouchModel{}, err
	}
	if len(models) == 0 {
		return nil, domain.TouchModel{}, domain.Errorf(domain.KindNotFound, "nothing was learnt from sounds of hand %q yet; train a model first", hand)
	}
	kept := models[len(models)-1]
	t := &l.touches
	t.mu.Lock()
	m, of := t.read, t.readOf
	t.mu.Unlock()
	if of == kept.Recording {
		return m, kept, nil
	}
	file, _, err := l.Store.OpenRecording(ctx, kept.Recording)
	if err != nil {
		return nil, kept, err
	}
	defer file.Close()
	if m, err = touch.ReadModel(file); err != nil {
		return nil, kept, domain.Internal("reading a stored touch model", err)
	}
	t.mu.Lock()
	t.read, t.readOf = m, kept.Recording
	t.mu.Unlock()
	return m, kept, nil
}

// usable returns the clips that can be learnt from: labelled, and not left out.
func usable(list []domain.TouchClip) (out []domain.TouchClip) {
	for _, c := range list {
		if !c.Label.LeaveOut && (c.Label.Zone != "" || c.Label.PositionMm != nil) {
			out = append(out, c)
		}
	}
	return out
}

// touchDigest tells sets of clips and labels from each other.
func touchDigest(list []domain.TouchClip) string {
	h := sha256.New()
	for _, c := range list {
		position := "-"
		if c.Label.PositionMm != nil {
			position = fmt.Sprint(*c.Label.PositionMm)
		}
		fmt.Fprintf(h, "%s %q %q %q %s\n", c.Recording, c.Session, c.Specimen, c.Label.Zone, position)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// TrainTouch learns from a hand's labelled clips, tests by group, and keeps the model. step is told how far it is and may end it
// by an error; see [touch.Plan].
func (l *Lab) TrainTouch(ctx context.Context, hand domain.ID, seed uint64, step func(what string, done, of int) error) (domain.TouchModel, error) {
	all, err := l.Store.TouchClips(ctx, hand)
	if err != nil {
		return domain.TouchModel{}, err
	}
	clips := usable(all)
	if len(clips) < 8 {
		return domain.TouchModel{}, domain.Errorf(domain.KindRefused, "%d clips are labelled; label at least 8, in two sessions or more", len(clips))
	}
	out := domain.TouchModel{Hand: hand, Clips: len(clips), Digest: touchDigest(clips), Seed: seed}
	recipe, d, lengths, err := l.touchFeatures(ctx, clips)
	if err != nil {
		return out, err
	}
	plan := touch.DefaultPlan()
	plan.Seed, plan.Workers, plan.Step = seed, l.Workers, step
	plan.Noise = touch.Noise{RatiosDB: touch.UsualRatiosDB, Clip: func(i int) ([]float64, error) { return l.touchSamples(ctx, clips[i]) }}
	m, evidence, err := touch.Train(ctx, recipe, d, plan)
	if ctx.Err() != nil {
		return out, ctx.Err()
	}
	if err != nil {
		return out, domain.Errorf(domain.KindRefused, "nothing can be learnt from these clips: %v", err)
	}
	m.SetSamples(lengths)
	var file bytes.Buffer
	if err := m.Write(&file); err != nil {
		return out, domain.Internal("writing a touch model", err)
	}
	rec, err := l.Store.PutRecording(ctx, string(hand)+".touch", "application/json", &file)
	if err != nil {
		return out, err
	}
	if out.Evidence, err = json.Marshal(evidence); err != nil {
		return out, domain.Internal("writing the evidence of a touch model", err)
	}
	for _, c := range clips {
		out.Invented = out.Invented || c.Invented
	}
	out.Recording, out.TrainedAt = rec.SHA256, l.Clock.Now()
	return l.Store.AddTouchModel(ctx, out)
}
