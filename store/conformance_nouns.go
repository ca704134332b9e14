package store

import (
	"fmt"
	"io"
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

func hand(id domain.ID) domain.Hand {
	return domain.Hand{ID: id, Name: "Soft two", Actuation: domain.ActuationAir, Fingers: 2, RollFold: 2, Mirror: true, FingerLength: 0.09,
		PalmDiameter: 0.07, OpeningMax: 0.11, CommandUnit: "kPa", CommandFull: 60, ForceMax: 12, FoodContact: true, Note: "é", Meta: domain.Meta{Invented: true}}
}

func item(id domain.ID) domain.Item {
	return domain.Item{ID: id, Name: "Croissant", Shape: domain.ShapeCrescent, Size: [3]float64{0.13, 0.07, 0.05}, SizeSpread: 0.08, Mass: 0.06,
		MassSpread: 0.1, Friction: 0.5, Stiffness: 800, DamageForce: 6, LateDamage: 7200, Turning: domain.Turning{Fold: 1, Mirror: true}, Food: true}
}

func setting(id domain.ID) domain.Setting {
	return domain.Setting{ID: id, Name: "Tray", Support: domain.SupportTray, Wall: true, WallGap: 0.02, Friction: 0.4, Turning: domain.Turning{Fold: 1}}
}

// kept bundles the three operations on one kind of catalogue entry.
type kept struct {
	name string
	// put stores an entry with the ID, note and revision; get returns its note, revision and whole; list its IDs.
	put  func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error)
	get  func(b *bench, id domain.ID) (note string, meta domain.Meta, whole any, err error)
	list func(b *bench) ([]domain.ID, error)
	want func(id domain.ID, note string, meta domain.Meta) any
}

var catalogue = []kept{
	{"Hand",
		func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
			h := hand(id)
			h.Note, h.Revision = note, revision
			return b.PutHand(b.ctx, h)
		},
		func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
			h, err := b.Hand(b.ctx, id)
			return h.Note, h.Meta, h, err
		},
		func(b *bench) (ids []domain.ID, err error) {
			list, err := b.Hands(b.ctx)
			for _, h := range list {
				ids = append(ids, h.ID)
			}
			return ids, err
		},
		func(id domain.ID, note string, meta domain.Meta) any {
			h := hand(id)
			h.Note, h.Meta = note, meta
			return h
		}},
	{"Item",
		func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
			it := item(id)
			it.Note, it.Revision = note, revision
			return b.PutItem(b.ctx, it)
		},
		func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
			it, err := b.Item(b.ctx, id)
			return it.Note, it.Meta, it, err
		},
		func(b *bench) (ids []domain.ID, err error) {
			list, err := b.Items(b.ctx)
			for _, it := range list {
				ids = append(ids, it.ID)
			}
			return ids, err
		},
		func(id domain.ID, note string, meta domain.Meta) any {
			it := item(id)
			it.Note, it.Meta = note, meta
			return it
		}},
	{"Setting",
		func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
			s := setting(id)
			s.Note, s.Revision = note, revision
			return b.PutSetting(b.ctx, s)
		},
		func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
			s, err := b.Setting(b.ctx, id)
			return s.Note, s.Meta, s, err
		},
		func(b *bench) (ids []domain.ID, err error) {
			list, err := b.Settings(b.ctx)
			for _, s := range list {
				ids = append(ids, s.ID)
			}
			return ids, err
		},
		func(id domain.ID, note string, meta domain.Meta) any {
			s := setting(id)
			s.Note, s.Meta = note, meta
			return s
		}},
	{"Study",
		func(b *bench, id domain.ID, note string, revision int) (domain.Meta, error) {
			s := study(id)
			s.Note, s.Revision = note, revision
			return b.PutStudy(b.ctx, s, nil)
		},
		func(b *bench, id domain.ID) (string, domain.Meta, any, error) {
			s, err := b.Study(b.ctx, id)
			return s.Note, s.Meta, s, err
		},
		func(b *bench) (ids []domain.ID, err error) {
			list, err := b.Studies(b.ctx)
			for _, s := range list {
				ids = append(ids, s.ID)
			}
			return ids, err
		},
		func(id domain.ID, note string, meta domain.Meta) any {
			s := study(id)
			s.Note, s.Meta = note, meta
			return s
		}},
}

// catalogueTests hold for every edited noun.
var catalogueTests = nounTests(catalogue)

func nounTests(nouns []kept) (tests []conformance) {
	for _, k := range nouns {
		tests = append(tests,
			conformance{k.name + "IsKeptWhole", func(b *bench) {
				meta, err := k.put(b, "a-1", "first", 0)
				b.ok(err)
				b.equal(meta.Revision, 1, "revision")
				_, stored, whole, err := k.get(b, "a-1")
				b.ok(err)
				b.equal(stored, meta, "the meta data")
				b.equal(whole, k.want("a-1", "first", meta), "the stored noun")
			}},
			conformance{k.name + "EditCountsRevisions", func(b *bench) {
				first, err := k.put(b, "a-1", "first", 0)
				b.ok(err)
				second, err := k.put(b, "a-1", "second", 1)
				b.ok(err)
				b.equal(second.Revision, 2, "revision")
				b.equal(second.Created, first.Created, "time of creation")
				if second.Updated.Before(first.Updated) {
					b.Fatalf("updated %v before %v", second.Updated, first.Updated)
				}
				note, stored, _, err := k.get(b, "a-1")
				b.ok(err)
				b.equal(note, "second", "note")
				b.equal(stored, second, "the meta data")
			}},
			conformance{k.name + "TakenIDIsConflict", func(b *bench) {
				_, err := k.put(b, "a-1", "first", 0)
				b.ok(err)
				_, err = k.put(b, "a-1", "second", 0)
				b.kind(err, domain.KindConflict)
				note, _, _, _ := k.get(b, "a-1")
				b.equal(note, "first", "note")
			}},
			conformance{k.name + "OldRevisionIsStale", func(b *bench) {
				for revision, note := range []string{"first", "second"} {
					_, err := k.put(b, "a-1", note, revision)
					b.ok(err)
				}
				for _, revision := range []int{1, 3} {
					_, err := k.put(b, "a-1", "third", revision)
					b.kind(err, domain.KindStale)
				}
				note, _, _, _ := k.get(b, "a-1")
				b.equal(note, "second", "note")
			}},
			conformance{k.name + "UnknownIsNotFound", func(b *bench) {
				_, _, _, err := k.get(b, "nobody")
				b.kind(err, domain.KindNotFound)
				_, err = k.put(b, "nobody", "x", 3)
				b.kind(err, domain.KindNotFound)
			}},
			conformance{k.name + "ListIsSortedByID", func(b *bench) {
				for _, id := range []domain.ID{"c", "a", "b"} {
					_, err := k.put(b, id, "", 0)
					b.ok(err)
				}
				ids, err := k.list(b)
				b.ok(err)
				b.equal(ids, []domain.ID{"a", "b", "c"}, "the list")
			}},
		)
	}
	return tests
}

var studyTests = []conformance{
	{"PlanIsKeptWhole", func(b *bench) {
		b.planned("s", 9)
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(runs, plan("s", 9), "the plan")
	}},
	{"PlanOfUnknownStudyIsNotFound", func(b *bench) {
		_, err := b.Plan(b.ctx, "nobody")
		b.kind(err, domain.KindNotFound)
	}},
	{"NilRunsKeepThePlan", func(b *bench) {
		b.planned("s", 3)
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		_, err = b.PutStudy(b.ctx, s, nil)
		b.ok(err)
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(len(runs), 3, "runs")
	}},
	{"PlanIsReplacedAsAWhole", func(b *bench) {
		b.planned("s", 9)
		b.planned("other", 2)
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		_, err = b.PutStudy(b.ctx, s, plan("s", 4))
		b.ok(err)
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(runs, plan("s", 4), "the plan")
		runs, err = b.Plan(b.ctx, "other")
		b.ok(err)
		b.equal(len(runs), 2, "runs of the other study")
	}},
	{"StaleStudyKeepsThePlan", func(b *bench) {
		b.planned("s", 3)
		s := study("s")
		s.Revision = 7
		_, err := b.PutStudy(b.ctx, s, plan("s", 5))
		b.kind(err, domain.KindStale)
		runs, err := b.Plan(b.ctx, "s")
		b.ok(err)
		b.equal(len(runs), 3, "runs")
	}},
	{"PlanAfterItsTrialsIsRefused", func(b *bench) {
		b.planned("s", 3)
		t := trial("s", "k", domain.OutcomeVoid)
		t.Order = 2
		b.append("s", t)
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		s.Note = "edited"
		_, err = b.PutStudy(b.ctx, s, plan("s", 5))
		b.kind(err, domain.KindRefused)
		again, err := b.Study(b.ctx, "s")
		b.ok(err)
		b.equal(again.Note, "", "the note after a refusal")
		_, err = b.PutStudy(b.ctx, s, nil)
		b.ok(err)
	}},
	{"PlanAfterUnplannedTrialsIsReplaced", func(b *bench) {
		b.planned("s", 3)
		b.append("s", trial("s", "k", domain.OutcomeHeld))
		s, err := b.Study(b.ctx, "s")
		b.ok(err)
		_, err = b.PutStudy(b.ctx, s, plan("s", 5))
		b.ok(err)
	}},
}

func card(id domain.ID) domain.Card {
	return domain.Card{ID: id, Study: "s", Condition: domain.Condition{Hand: "soft-two", Item: "croissant", Setting: "tray", Strategy: domain.StrategySurface},
		Steps: domain.DefaultStrategy(domain.StrategySurface).Steps, Nominal: orient.FromDirectionHeading(0.2, 0.1, 0.3),
		Region:  domain.Region{Points: []orient.Rotation{orient.RotX(0.1), orient.RotX(0.2)}, Spacing: 0.1, Radius: 0.05, Share: 0.02},
		Closing: 0.7, Line: domain.LineError{Angle: 0.05, Position: 0.002}, Success: 0.96, SuccessLow: 0.92, SuccessHigh: 0.98, Target: 0.95,
		Trials: 200, Held: 190, LastTrial: 200, Digest: strings.Repeat("ab", 32), Cautions: []string{"Moving robot"}, ReleasedBy: "ada", ReleasedAt: noon, Invented: true}
}

var cardTests = []conformance{
	{"IsKeptWhole", func(b *bench) {
		b.planned("s", 1)
		b.ok(b.AddCard(b.ctx, card("c-1")))
		got, err := b.Card(b.ctx, "c-1")
		b.ok(err)
		b.equal(got, card("c-1"), "the card")
	}},
	{"TakenIDIsConflict", func(b *bench) {
		b.planned("s", 1)
		b.ok(b.AddCard(b.ctx, card("c-1")))
		b.kind(b.AddCard(b.ctx, card("c-1")), domain.KindConflict)
	}},
	{"UnknownIsNotFound", func(b *bench) {
		_, err := b.Card(b.ctx, "nobody")
		b.kind(err, domain.KindNotFound)
		_, err = b.WithdrawCard(b.ctx, "nobody", "ada", "worn", noon)
		b.kind(err, domain.KindNotFound)
	}},
	{"WithdrawnOnce", func(b *bench) {
		b.planned("s", 1)
		b.ok(b.AddCard(b.ctx, card("c-1")))
		got, err := b.WithdrawCard(b.ctx, "c-1", "bo", "the hand is worn", noon.Add(time.Hour))
		b.ok(err)
		want := card("c-1")
		want.Withdrawn, want.WithdrawnBy, want.Reason = noon.Add(time.Hour), "bo", "the hand is worn"
		b.equal(got, want, "the withdrawn card")
		_, err = b.WithdrawCard(b.ctx, "c-1", "cy", "again", noon.Add(2*time.Hour))
		b.kind(err, domain.KindRefused)
		got, err = b.Card(b.ctx, "c-1")
		b.ok(err)
		b.equal(got, want, "the card after a refusal")
	}},
	{"NewestReleaseIsFirst", func(b *bench) {
		b.planned("s", 1)
		for i, id := range []domain.ID{"b", "a", "c"} {
			c := card(id)
			c.ReleasedAt = noon.Add(time.Duration(i) * time.Hour)
			b.ok(b.AddCard(b.ctx, c))
		}
		list, err := b.Cards(b.ctx)
		b.ok(err)
		var ids []domain.ID
		for _, c := range list {
			ids = append(ids, c.ID)
		}
		b.equal(ids, []domain.ID{"c", "a", "b"}, "the list")
	}},
}

// abc is the digest of "abc": FIPS 180-4 example, computed here by sha256sum as well.
const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

var recordingTests = []conformance{
	{"IsKeptUnderItsDigest", func(b *bench) {
		rec, err := b.PutRecording(b.ctx, "grasp.png", "image/png", strings.NewReader("abc"))
		b.ok(err)
		want := domain.Recording{SHA256: abc, Name: "grasp.png", Type: "image/png", Size: 3}
		b.equal(rec, want, "the description")
		f, got, err := b.OpenRecording(b.ctx, abc)
		b.ok(err)
		b.equal(got, want, "the description")
		_, err = f.Seek(1, io.SeekStart)
		b.ok(err)
		b.equal(readAll(b, f), "bc", "the content from the second byte")
	}},
	{"SameContentTwiceIsOneFile", func(b *bench) {
		for _, name := range []string{"one.txt", "two.txt"} {
			rec, err := b.PutRecording(b.ctx, name, "text/plain", strings.NewReader("abc"))
			b.ok(err)
			b.equal(rec.SHA256, abc, "the digest")
			b.equal(rec.Name, name, "the name")
		}
		f, got, err := b.OpenRecording(b.ctx, abc)
		b.ok(err)
		b.equal(got.Name, "one.txt", "the name")
		b.equal(readAll(b, f), "abc", "the content")
	}},
	{"UnknownIsNotFound", func(b *bench) {
		for _, sha := range []string{abc, "", "../../lab.db"} {
			_, _, err := b.OpenRecording(b.ctx, sha)
			b.kind(err, domain.KindNotFound)
		}
	}},
	{"BrokenUploadIsNotKept", func(b *bench) {
		_, err := b.PutRecording(b.ctx, "x", "text/plain", io.MultiReader(strings.NewReader("ab"), broken{}))
		if err == nil {
			b.Fatal("a broken upload was acknowledged")
		}
	}},
	{"TrialKeepsItsRecordings", func(b *bench) {
		b.planned("s", 1)
		var recs []domain.Recording
		for i := range 3 {
			rec, err := b.PutRecording(b.ctx, fmt.Sprintf("%d.txt", i), "text/plain", strings.NewReader(fmt.Sprint("content ", 3-i)))
			b.ok(err)
			recs = append(recs, rec)
		}
		t := trial("s", "k", domain.OutcomeHeld)
		t.Recordings = recs
		stored := b.append("s", t)
		b.append("s", trial("s", "l", domain.OutcomeHeld))
		b.equal(stored[0].Recordings, recs, "the stored entry's recordings")
		list := b.counted("s", domain.TrialFilter{})
		b.equal(list[0].Recordings, recs, "the counted trial's recordings")
		b.equal(len(list[1].Recordings), 0, "recordings of the other trial")
		again, repeated, err := b.Append(b.ctx, "s", []domain.Trial{t})
		b.ok(err)
		b.equal(repeated, []bool{true}, "repeated")
		b.equal(again[0].Recordings, recs, "the repeated entry's recordings")
	}},
	{"TrialWithUnknownRecordingIsNotFound", func(b *bench) {
		b.planned("s", 1)
		t := trial("s", "k", domain.OutcomeHeld)
		t.Recordings = []domain.Recording{{SHA256: abc, Name: "x", Type: "text/plain", Size: 3}}
		b.unchanged("s", domain.KindNotFound, func() error {
			_, _, err := b.Append(b.ctx, "s", []domain.Trial{trial("s", "j", domain.OutcomeHeld), t})
			return err
		})
	}},
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }
