// Package store holds the conformance suite that every implementation of [domain.Store] passes. Its subtests are named
// after the behaviours and error kinds that the ports document; an implementation runs [Conform] in its own tests.
package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"holdfast/domain"
	"holdfast/orient"
)

// Opener opens a new, empty store for one test, which closes it by t.Cleanup.
type Opener func(t *testing.T) domain.Store

// Conform runs the suite.
func Conform(t *testing.T, open Opener) {
	for _, group := range []struct {
		name  string
		tests []conformance
	}{
		{"Catalogue", catalogueTests},
		{"Economics", economicsTests},
		{"ModelFits", modelTests},
		{"BenchRecords", benchTests},
		{"TouchSounds", touchTests},
		{"Studies", studyTests},
		{"Extensions", extensionTests},
		{"Leases", leaseTests},
		{"Append", appendTests},
		{"Corrections", correctionTests},
		{"Changes", changeTests},
		{"Counted", countedTests},
		{"Inspections", inspectionTests},
		{"Judgements", judgementTests},
		{"Cards", cardTests},
		{"Proofs", proofTests},
		{"Recordings", recordingTests},
		{"Concurrency", concurrencyTests},
	} {
		t.Run(group.name, func(t *testing.T) {
			for _, c := range group.tests {
				t.Run(c.name, func(t *testing.T) { c.run(&bench{T: t, Store: open(t), ctx: t.Context()}) })
			}
		})
	}
}

type conformance struct {
	name string
	run  func(b *bench)
}

// bench is a store under test with short words for what tests do over and over.
type bench struct {
	*testing.T
	domain.Store
	ctx context.Context
}

// noon is when the suite's trials happen; with nanoseconds, which a store must keep.
var noon = time.Date(2026, 3, 14, 12, 0, 0, 123456789, time.UTC)

func (b *bench) ok(err error) {
	b.Helper()
	if err != nil {
		b.Fatalf("unexpected error: %v", err)
	}
}

// kind demands a [domain.Error] of the kind with a sentence.
func (b *bench) kind(err error, want domain.Kind) {
	b.Helper()
	var e *domain.Error
	if !errors.As(err, &e) {
		b.Fatalf("got error %v, want a domain error of kind %s", err, want)
	}
	if e.Kind != want {
		b.Fatalf("got kind %s (%v), want %s", e.Kind, err, want)
	}
	if e.Message == "" {
		b.Fatalf("the error of kind %s says nothing", want)
	}
}

func (b *bench) equal(got, want any, what string) {
	b.Helper()
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		b.Fatalf("%s differs (-want +got):\n%s", what, d)
	}
}

// plan gives n runs in blocks of four, at tilts that tell them apart.
func plan(study domain.ID, n int) []domain.PlannedRun {
	runs := make([]domain.PlannedRun, n)
	for i := range runs {
		runs[i] = domain.PlannedRun{
			Study: study, Order: i + 1, Block: i/4 + 1, WholePlot: i/8 + 1, Hand: "soft-two", Item: "croissant", Setting: "tray",
			Strategy: domain.StrategySurface, Cell: i, Planned: orient.RotY(float64(i) * math.Pi / 180), Closing: 0.75,
			Offset: [3]float64{0.001 * float64(i), -0.002, 0}, Replicate: 1,
		}
	}
	return runs
}

func study(id domain.ID) domain.Study {
	return domain.Study{
		ID: id, Name: "Croissants from the tray", Question: "Which way?", State: domain.StudyPlanned,
		Hands: []domain.ID{"soft-two"}, Items: []domain.ID{"croissant"}, Settings: []domain.ID{"tray"},
		Strategies:    []domain.Strategy{domain.DefaultStrategy(domain.StrategySurface)},
		Orientations:  domain.OrientationPlan{Kind: "rings", Tilts: []float64{0, 0.5}, Azimuths: []int{1, 4}, Rolls: []float64{0, 1}},
		ClosingLevels: []float64{0.5, 0.75}, Offset: domain.OffsetPlan{Kind: "gaussian", Sigma: [2]float64{0.003, 0.004}},
		Replicates: 2, BlockSize: 4, Seed: math.MaxUint64, TrialSeconds: 40, Target: 0.95, Meta: domain.Meta{Invented: true},
	}
}

// planned stores a study with a plan of n runs.
func (b *bench) planned(id domain.ID, n int) {
	b.Helper()
	_, err := b.PutStudy(b.ctx, study(id), plan(id, n))
	b.ok(err)
}

// trial gives a first entry for the study, not planned.
func trial(study domain.ID, key string, outcome domain.Outcome) domain.Trial {
	t := domain.Trial{
		Study: study, Key: key, Block: 1, Hand: "soft-two", Item: "croissant", Setting: "tray", Strategy: domain.StrategySurface,
		Planned: orient.FromDirectionHeading(0.3, 1, 2), Closing: 0.75, Offset: [3]float64{0.001, -0.002, 0}, Outcome: outcome, Operator: "ada",
		StartedAt: noon, RecordedAt: noon.Add(time.Minute),
	}
	if outcome == domain.OutcomeVoid {
		t.VoidReason = "the tray slid"
	}
	return t
}

// full gives an entry with every field that a client may set.
func full(study domain.ID, key string) domain.Trial {
	t := trial(study, key, domain.OutcomeHeld)
	measured, force, seconds := orient.FromDirectionHeading(0.31, 1.01, 2.02), 4.25, 7.5
	t.Measured, t.PeakForce, t.Duration, t.Reference, t.Note = &measured, &force, &seconds, true, "crust cracked\nagain: «é»"
	return t
}

// append stores the entries and demands that none was repeated.
func (b *bench) append(study domain.ID, entries ...domain.Trial) []domain.Trial {
	b.Helper()
	stored, repeated, err := b.Append(b.ctx, study, entries)
	b.ok(err)
	for i, r := range repeated {
		if r {
			b.Fatalf("entry %d was taken for a repeated one", i)
		}
	}
	return stored
}

// correct stores a correction of the entry and returns it.
func (b *bench) correct(t domain.Trial, key string, change func(*domain.Trial)) domain.Trial {
	b.Helper()
	t.Corrects, t.Key, t.ID, t.Root = t.ID, key, 0, 0
	change(&t)
	return b.append(t.Study, t)[0]
}

func (b *bench) counted(study domain.ID, f domain.TrialFilter) []domain.CountedTrial {
	b.Helper()
	list, err := b.Counted(b.ctx, study, f)
	b.ok(err)
	return list
}

func (b *bench) mark(study domain.ID) int64 {
	b.Helper()
	m, err := b.Mark(b.ctx, study)
	b.ok(err)
	return m
}

// unchanged runs what must fail with the kind, and demands that the study's record stays as it was.
func (b *bench) unchanged(study domain.ID, want domain.Kind, do func() error) {
	b.Helper()
	before, mark := b.counted(study, domain.TrialFilter{}), b.mark(study)
	b.kind(do(), want)
	b.equal(b.counted(study, domain.TrialFilter{}), before, "the record after a refusal")
	b.equal(b.mark(study), mark, "the mark after a refusal")
}

// summary gives what counts in a record, short enough for a table: "T1 held 2" is root, counted outcome, entries.
func summary(list []domain.CountedTrial) (s []string) {
	for _, t := range list {
		s = append(s, fmt.Sprintf("%v %s %d", t.Root, t.Counted, t.Entries))
	}
	return s
}

func readAll(b *bench, r io.ReadCloser) string {
	b.Helper()
	defer r.Close()
	content, err := io.ReadAll(r)
	b.ok(err)
	return string(content)
}
