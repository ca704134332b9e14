package store

import (
	"strings"
	"time"

	"holdfast/domain"
)

// touchClip gives a clip with every field that a client may set, and stores its sound.
func (b *bench) touchClip(hand domain.ID, key, sound string) domain.TouchClip {
	b.Helper()
	rec, err := b.PutRecording(b.ctx, key+".wav", "audio/wav", strings.NewReader(sound))
	b.ok(err)
	place, pressure := 31.5, 20.25
	return domain.TouchClip{
		Hand: hand, Key: key, Recording: rec.SHA256, RateHz: 48000, Samples: 2400, Session: "monday", Specimen: "no. 3", Object: "«é» pencil", PressureKPa: &pressure,
		Note: "dry", Invented: true, Recorded: noon, Label: domain.TouchLabel{Zone: "tip", PositionMm: &place, By: "ada", At: noon},
	}
}

var touchTests = []conformance{
	{"ClipsAreKeptWholeAndTheNewestLabelCounts", func(b *bench) {
		b.handy("soft-two")
		b.handy("other")
		first, second := b.touchClip("soft-two", "k1", "one"), b.touchClip("soft-two", "k2", "two")
		second.PressureKPa, second.Label = nil, domain.TouchLabel{At: noon}
		stored, repeated, err := b.AddTouchClips(b.ctx, []domain.TouchClip{first, second})
		b.ok(err)
		b.equal(repeated, []bool{false, false}, "repeated")
		first.ID, second.ID = stored[0].ID, stored[1].ID
		first.Label.Clip, second.Label.Clip = first.ID, second.ID
		first.Label.ID, second.Label.ID = stored[0].Label.ID, stored[1].Label.ID
		b.equal(0 < first.Label.ID && first.Label.ID < second.Label.ID, true, "labels are numbered upwards")
		b.equal(stored, []domain.TouchClip{first, second}, "what was stored")
		was := first.Label
		first.Label = domain.TouchLabel{Clip: first.ID, Zone: "pad", LeaveOut: true, By: "bo", At: noon.Add(time.Hour)}
		b.ok(b.LabelTouchClips(b.ctx, "soft-two", []domain.TouchLabel{first.Label}))
		list, err := b.TouchClips(b.ctx, "soft-two")
		b.ok(err)
		b.equal(list[0].Label.ID > second.Label.ID, true, "a newer label has a larger number")
		first.Label.ID = list[0].Label.ID
		b.equal(list, []domain.TouchClip{first, second}, "the list")
		labels, err := b.TouchLabels(b.ctx, "soft-two", first.ID)
		b.ok(err)
		b.equal(labels, []domain.TouchLabel{was, first.Label}, "the labels")
		list, err = b.TouchClips(b.ctx, "other")
		b.ok(err)
		b.equal(len(list), 0, "clips of another hand")
	}},
	{"RepeatedKeyIsStoredOnceAnotherSoundIsConflictAndNothingIsStored", func(b *bench) {
		b.handy("soft-two")
		clip := b.touchClip("soft-two", "k1", "one")
		stored, _, err := b.AddTouchClips(b.ctx, []domain.TouchClip{clip})
		b.ok(err)
		again, repeated, err := b.AddTouchClips(b.ctx, []domain.TouchClip{clip})
		b.ok(err)
		b.equal(repeated, []bool{true}, "repeated")
		b.equal(again, stored, "the clip in its place")
		_, _, err = b.AddTouchClips(b.ctx, []domain.TouchClip{b.touchClip("soft-two", "k2", "two"), b.touchClip("soft-two", "k1", "three")})
		b.kind(err, domain.KindConflict)
		list, err := b.TouchClips(b.ctx, "soft-two")
		b.ok(err)
		b.equal(len(list), 1, "clips after a refusal")
	}},
	{"UnknownIsNotFoundAndNothingIsStored", func(b *bench) {
		b.handy("soft-two")
		b.handy("other")
		_, _, err := b.AddTouchClips(b.ctx, []domain.TouchClip{b.touchClip("nobody", "k1", "one")})
		b.kind(err, domain.KindNotFound)
		silent := b.touchClip("soft-two", "k1", "one")
		silent.Recording = strings.Repeat("0", 64)
		_, _, err = b.AddTouchClips(b.ctx, []domain.TouchClip{silent})
		b.kind(err, domain.KindNotFound)
		stored, _, err := b.AddTouchClips(b.ctx, []domain.TouchClip{b.touchClip("soft-two", "k1", "one")})
		b.ok(err)
		id := stored[0].ID
		b.kind(b.LabelTouchClips(b.ctx, "other", []domain.TouchLabel{{Clip: id}}), domain.KindNotFound)
		b.kind(b.LabelTouchClips(b.ctx, "soft-two", []domain.TouchLabel{{Clip: id, Zone: "pad"}, {Clip: 99}}), domain.KindNotFound)
		labels, err := b.TouchLabels(b.ctx, "soft-two", id)
		b.ok(err)
		b.equal(len(labels), 1, "labels after a refusal")
		_, err = b.TouchLabels(b.ctx, "other", id)
		b.kind(err, domain.KindNotFound)
	}},
	{"ModelsAreKeptInOrder", func(b *bench) {
		b.handy("soft-two")
		rec, err := b.PutRecording(b.ctx, "m.json", "application/json", strings.NewReader("{}"))
		b.ok(err)
		m := domain.TouchModel{Hand: "soft-two", Recording: rec.SHA256, Clips: 40, Digest: "ab", Seed: 1<<63 + 5, Evidence: []byte(`{"clips":40}`), TrainedAt: noon, Invented: true}
		first, err := b.AddTouchModel(b.ctx, m)
		b.ok(err)
		m.Clips = 50
		second, err := b.AddTouchModel(b.ctx, m)
		b.ok(err)
		m.ID = second.ID
		b.equal(second, m, "what was stored")
		list, err := b.TouchModels(b.ctx, "soft-two")
		b.ok(err)
		b.equal(list, []domain.TouchModel{first, second}, "the models")
		m.Hand = "nobody"
		_, err = b.AddTouchModel(b.ctx, m)
		b.kind(err, domain.KindNotFound)
		m.Hand, m.Recording = "soft-two", strings.Repeat("0", 64)
		_, err = b.AddTouchModel(b.ctx, m)
		b.kind(err, domain.KindNotFound)
	}},
}
