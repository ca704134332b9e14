package api

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/signals/touch/finger"
	"holdfast/workflow"
)

// TouchParams picks a hand's sounds. (It is exported because huma reads the parameters of an embedded struct only then.)
type TouchParams struct {
	Hand string `path:"hand"`
}

// TouchSince asks for what came after a label.
type TouchSince struct {
	TouchParams
	After optional[int64] `query:"after" minimum:"0" doc:"The newest that is known: only clips that were added or labelled after it are told. All when it is left out, or the lab has none so new"`
}

// TouchClipParams are what is said of a clip that is stored.
type TouchClipParams struct {
	Key         string            `query:"key" maxLength:"200" doc:"New for each clip, repeated when a request is sent again; a digest of the sound when left out"`
	Name        string            `query:"name" maxLength:"200"`
	Zone        string            `query:"zone" maxLength:"60"`
	PositionMm  optional[float64] `query:"position_mm"`
	Session     string            `query:"session" doc:"Day or mounting"`
	Specimen    string            `query:"specimen" doc:"Which piece of the hand's kind"`
	Object      string            `query:"object" maxLength:"120" doc:"What it was touched by"`
	PressureKPa optional[float64] `query:"pressure_kPa"`
	SNRDB       optional[float64] `query:"snr_dB" doc:"Sound over the noise that it was recorded with, where it is known"`
	Note        string            `query:"note" maxLength:"4000"`
	By          string            `query:"by" maxLength:"120"`
}

func (s *Server) touchRoutes(h huma.API) {
	tellLive(h)
	const tag = "touch"
	register(s, h, op(http.MethodGet, "/hands/{hand}/touch", "get-touch-lab", tag, "A hand's sounds of touch, what was learnt from them and how far a training is", 200), func(ctx context.Context, in *TouchSince) (*struct{ Body TouchState }, error) {
		return s.touchState(ctx, in.Hand, in.After.Value)
	})
	o := op(http.MethodPost, "/hands/{hand}/touch/clips", "add-touch-clip", tag, "Keep a clip, a WAV file, with what is known of it", 201)
	o.RequestBody = anyBody("audio/wav")
	o.MaxBodyBytes = domain.MostTouchClip + 1
	register(s, h, o, func(ctx context.Context, in *struct {
		TouchParams
		TouchClipParams
		stream
	}) (*struct{ Body TouchClip }, error) {
		wav, err := io.ReadAll(io.LimitReader(in.reader, domain.MostTouchClip+1))
		if err != nil {
			return nil, domain.Errorf(domain.KindInvalid, "the sound did not come whole: %v; send it again", err)
		}
		clip := workflow.TouchSound{Name: fileName(in.Name, "clip.wav"), WAV: wav, TouchClip: domain.TouchClip{
			Hand: domain.ID(in.Hand), Key: in.Key, Session: in.Session, Specimen: in.Specimen, Object: in.Object, Note: in.Note,
			PressureKPa: given(in.PressureKPa), SNRDB: given(in.SNRDB), Label: domain.TouchLabel{Zone: in.Zone, PositionMm: given(in.PositionMm), By: in.By},
		}}
		stored, _, err := s.lab.KeepTouchClips(ctx, []workflow.TouchSound{clip})
		if err != nil {
			return nil, err
		}
		return &struct{ Body TouchClip }{fromTouchClip(stored[0])}, nil
	})
	register(s, h, op(http.MethodPost, "/hands/{hand}/touch/labels", "label-touch-clips", tag, "Say where clips were touched, all or none; earlier labels stay on record. The answer has these clips, and all that changed when after is given", 200), func(ctx context.Context, in *struct {
		TouchSince
		Body []NewTouchLabel `maxItems:"1000"`
	}) (*struct{ Body TouchState }, error) {
		err := s.lab.LabelTouchClips(ctx, domain.ID(in.Hand), each(in.Body, func(l NewTouchLabel) domain.TouchLabel {
			return domain.TouchLabel{Clip: l.Clip, Zone: l.Zone, PositionMm: l.PositionMm, LeaveOut: l.LeaveOut, By: l.By}
		}))
		if err != nil {
			return nil, err
		}
		state, err := s.touchState(ctx, in.Hand, in.After.Value)
		if err == nil && !in.After.Given {
			state.Body.onlyLabelled(in.Body)
		}
		return state, err
	})
	register(s, h, op(http.MethodGet, "/hands/{hand}/touch/clips/{clip}/labels", "list-touch-labels", tag, "All that was said of a clip, oldest first", 200), func(ctx context.Context, in *struct {
		TouchParams
		Clip int64 `path:"clip"`
	}) (*listOf[TouchLabel], error) {
		list, err := s.lab.Store.TouchLabels(ctx, domain.ID(in.Hand), in.Clip)
		return &listOf[TouchLabel]{Body: each(list, fromTouchLabel)}, err
	})
	register(s, h, op(http.MethodGet, "/hands/{hand}/touch/clips/{clip}/picture", "get-touch-picture", tag, "A clip's course and spectrum over time, to be drawn", 200), func(ctx context.Context, in *struct {
		TouchParams
		Clip int64 `path:"clip"`
	}) (*struct{ Body TouchPicture }, error) {
		clip, samples, err := s.lab.TouchSamples(ctx, domain.ID(in.Hand), in.Clip)
		if err != nil {
			return nil, err
		}
		p, err := pictureOf(clip, samples)
		return &struct{ Body TouchPicture }{p}, err
	})
	register(s, h, op(http.MethodPost, "/hands/{hand}/touch/training", "start-touch-training", tag, "Begin to learn from the labelled clips", 202), func(ctx context.Context, in *struct {
		TouchSince
		Body TouchStart
	}) (*struct{ Body TouchState }, error) {
		seed := uint64(1)
		if in.Body.Seed != "" {
			var err error
			if seed, err = strconv.ParseUint(in.Body.Seed, 10, 64); err != nil {
				return nil, domain.Errorf(domain.KindInvalid, "seed %q must be a whole number from 0 to 2^64 − 1", in.Body.Seed)
			}
		}
		if err := s.lab.StartTouchTraining(ctx, domain.ID(in.Hand), seed); err != nil {
			return nil, err
		}
		return s.touchState(ctx, in.Hand, in.After.Value)
	})
	register(s, h, op(http.MethodDelete, "/hands/{hand}/touch/training", "stop-touch-training", tag, "Stop the training that is under way; an earlier model stays", 204), func(ctx context.Context, in *TouchParams) (*struct{}, error) {
		return nil, s.lab.StopTouchTraining(ctx, domain.ID(in.Hand))
	})
	register(s, h, fileOp("/hands/{hand}/touch/model.json", "get-touch-model", tag, "The newest model, as the command line reads it", "application/json"), func(ctx context.Context, in *TouchParams) (*huma.StreamResponse, error) {
		_, kept, err := s.lab.TouchModel(ctx, domain.ID(in.Hand))
		if err != nil {
			return nil, err
		}
		return s.recording(ctx, kept.Recording)
	})
	register(s, h, op(http.MethodGet, "/invented-knocks/{number}", "get-invented-knock", tag, "A knock with a crust at a drawn place of a finger that does not exist, to try listening without a microphone", 200), func(_ context.Context, in *struct {
		Number int `path:"number" minimum:"1" maximum:"1000000"`
	}) (*struct{ Body InventedKnock }, error) {
		return &struct{ Body InventedKnock }{inventedKnock(in.Number)}, nil
	})
}

func given(o optional[float64]) *float64 {
	if !o.Given {
		return nil
	}
	return &o.Value
}

// touchState tells what is known of a hand's sounds, of clips those labelled after a label.
func (s *Server) touchState(ctx context.Context, hand string, after int64) (*struct{ Body TouchState }, error) {
	state, err := s.lab.TouchLab(ctx, domain.ID(hand))
	if err != nil {
		return nil, err
	}
	out := TouchState{Stale: state.Stale, Failed: state.Failed}
	for _, c := range state.Clips {
		out.Newest = max(out.Newest, c.Label.ID)
	}
	if after <= out.Newest { // otherwise the lab is another one than was asked about before
		out.Since = after
	}
	out.Clips = each(slices.DeleteFunc(state.Clips, func(c domain.TouchClip) bool { return c.Label.ID <= out.Since }), fromTouchClip)
	if p := state.Running; p != nil {
		out.Running = &TouchProgress{p.Stage, p.Done, p.Of}
	}
	if m := state.Model; m != nil {
		model, _, err := s.lab.TouchModel(ctx, domain.ID(hand))
		if err != nil {
			return nil, err
		}
		out.Model = &TouchModel{
			ID: m.ID, Clips: m.Clips, Digest: m.Digest, Seed: fmt.Sprint(m.Seed), TrainedAt: m.TrainedAt, Invented: m.Invented, Recording: m.Recording,
			RateHz: model.Recipe.RateHz, Zones: append([]string{}, model.Zones...), Limit: model.Novelty.Limit, Level: model.Level,
		}
		if err := json.Unmarshal(m.Evidence, &out.Model.Evidence); err != nil {
			return nil, domain.Internal("reading the evidence of a touch model", err)
		}
		if out.Model.Evidence.Changes == nil {
			out.Model.Evidence.Changes = []TouchChange{}
		}
		if out.Model.Evidence.UnderNoise == nil {
			out.Model.Evidence.UnderNoise = []TouchNoiseScore{}
		}
	}
	return &struct{ Body TouchState }{out}, nil
}

// onlyLabelled leaves the clips that were labelled, and what was labelled later.
func (t *TouchState) onlyLabelled(labels []NewTouchLabel) {
	said := map[int64]bool{}
	for _, l := range labels {
		said[l.Clip] = true
	}
	t.Since = t.Newest
	for _, c := range t.Clips {
		if said[c.ID] {
			t.Since = min(t.Since, c.Label-1)
		}
	}
	t.Clips = slices.DeleteFunc(t.Clips, func(c TouchClip) bool { return c.Label <= t.Since })
}

func fromTouchClip(c domain.TouchClip) TouchClip {
	return TouchClip{
		ID: c.ID, Recording: c.Recording, RateHz: c.RateHz, Samples: c.Samples, Session: c.Session, Specimen: c.Specimen, Object: c.Object, PressureKPa: c.PressureKPa, SNRDB: c.SNRDB,
		Note: c.Note, Invented: c.Invented, Recorded: c.Recorded, TouchLabel: fromTouchLabel(c.Label),
	}
}

func fromTouchLabel(l domain.TouchLabel) TouchLabel {
	return TouchLabel{Label: l.ID, Zone: l.Zone, PositionMm: l.PositionMm, LeaveOut: l.LeaveOut, By: l.By, At: l.At}
}

// knockObject strikes it: one of those that the demonstration's clips are of.
var knockObject = finger.Objects[1]

// The invented finger that can be knocked on: a fourth piece of the kind that the demonstration's clips are of.
const (
	knockSeed    = 20260302
	knockPiece   = 3
	knockNoise   = 0.05
	knockQuietS  = 0.06
	knockLowMm   = 22.0
	knockWidthMm = 63.0
)

func inventedKnock(number int) InventedKnock {
	p := finger.Specimens(knockPiece+1, knockSeed)[knockPiece].TouchedBy(knockObject)
	out := InventedKnock{RateHz: p.RateHz, PositionMm: knockLowMm + knockWidthMm*numeric.Stream(knockSeed, "invented knock", number).Float64()}
	clip := p.Touch(out.PositionMm, knockNoise, knockSeed, number)
	top := 0.0
	for _, v := range clip {
		top = max(top, v, -v)
	}
	before := int(knockQuietS * float64(p.RateHz))
	out.Samples = make([]int16, 2*before+len(clip))
	hiss := numeric.Stream(knockSeed, "quiet of an invented knock", number)
	for i := range out.Samples {
		v := 2e-5 * hiss.NormFloat64()
		if k := i - before; k >= 0 && k < len(clip) {
			v += 0.25 * clip[k] / top
		}
		out.Samples[i] = int16(32767 * v)
	}
	return out
}
