package workflow

import (
	"context"
	"time"

	"holdfast/domain"
	"holdfast/orient"
)

// LeaseTime is how long a run that was handed out is kept for its holder.
const LeaseTime = 10 * time.Minute

// NextRun is the planned run handed out, with all that is needed to carry it out.
type NextRun struct {
	Run         domain.PlannedRun
	Hand        domain.Hand
	Item        domain.Item
	Setting     domain.Setting
	Strategy    domain.Strategy
	Until       time.Time // end of the lease
	Left        int       // planned runs not yet carried out, this one included
	SecondsLeft float64   // s
	Cautions    []string
}

// NewTrial is a trial as it is logged. What is left out is filled in: from the planned run when Order names one, from
// the corrected entry when Corrects does, else from the study where it leaves no choice.
type NewTrial struct {
	Key        string
	Corrects   domain.TrialID
	Order      int
	Hand       domain.ID
	Item       domain.ID
	Setting    domain.ID
	Strategy   domain.StrategyKind
	Planned    *orient.Rotation
	Measured   *orient.Rotation
	Closing    *float64    // 0…1
	Offset     [3]*float64 // m
	PeakForce  *float64    // N
	Duration   *float64    // s
	Outcome    domain.Outcome
	VoidReason string
	Block      int
	Operator   string
	Note       string
	Recordings []string // SHA-256 of recordings that were stored before
	StartedAt  time.Time
}

// History is all that was entered about one trial.
type History struct {
	Entries     []domain.Trial
	Inspections []domain.Inspection
	Counted     domain.Outcome
}

// Next hands out the next planned run to the holder, for [LeaseTime]. KindNotFound when nothing is left.
func (l *Lab) Next(ctx context.Context, study domain.ID, holder string) (NextRun, error) {
	return NextRun{}, notYet
}

// GiveBack ends the holder's leases.
func (l *Lab) GiveBack(ctx context.Context, study domain.ID, holder string) error { return notYet }

// Log records a trial, or a correction. repeated says that its key was known and nothing new was stored.
func (l *Lab) Log(ctx context.Context, study domain.ID, n NewTrial) (t domain.CountedTrial, repeated bool, err error) {
	return t, false, notYet
}

// TrialQuery picks trials.
type TrialQuery struct {
	Filter domain.TrialFilter
	Newest bool // newest first
}

// Trials returns the picked trials as they count now, and how many there are without the limit.
func (l *Lab) Trials(ctx context.Context, study domain.ID, q TrialQuery) (list []domain.CountedTrial, total int, err error) {
	return nil, 0, notYet
}

// History returns all that was entered about a trial, oldest first.
func (l *Lab) History(ctx context.Context, study domain.ID, id domain.TrialID) (History, error) {
	return History{}, notYet
}

// Inspect records an inspection. repeated says that its key was known and nothing new was stored.
func (l *Lab) Inspect(ctx context.Context, study domain.ID, in domain.Inspection) (stored domain.Inspection, repeated bool, err error) {
	return stored, false, notYet
}
