package domain

import (
	"math"
	"strings"
	"time"

	"holdfast/orient"
)

// Outcome is how a trial ended.
type Outcome string

// The outcomes. OutcomeFailed is kept for rows that were only counted: not held, and how was not recorded.
const (
	OutcomeHeld    Outcome = "held"
	OutcomeDropped Outcome = "dropped" // lifted, then lost
	OutcomeSlipped Outcome = "slipped" // lost while lifting
	OutcomeMissed  Outcome = "missed"
	OutcomePushed  Outcome = "pushed" // moved out of reach or toppled
	OutcomeDamaged Outcome = "damaged"
	OutcomeStopped Outcome = "stopped" // stopped for safety
	OutcomeFailed  Outcome = "failed"
	OutcomeVoid    Outcome = "void" // does not count; needs a reason
)

// Outcomes lists the outcomes in the order in which pages show them.
var Outcomes = []Outcome{OutcomeHeld, OutcomeDropped, OutcomeSlipped, OutcomeMissed, OutcomePushed, OutcomeDamaged,
	OutcomeStopped, OutcomeFailed, OutcomeVoid}

// Valid says whether o is one of [Outcomes].
func (o Outcome) Valid() bool {
	for _, k := range Outcomes {
		if o == k {
			return true
		}
	}
	return false
}

// Counts says whether the outcome counts as an attempt: all but void do.
func (o Outcome) Counts() bool { return o != OutcomeVoid }

// Trial is one entry of the append-only trial record. An entry is never changed: a correction is a new entry that
// names the one it corrects and repeats all its fields as they should have been.
type Trial struct {
	ID         TrialID // set by the store
	Study      ID
	Key        string  // idempotency key, unique inside the study; set by the client
	Corrects   TrialID // 0: a first entry; else the entry that this one replaces, which must be the newest of its chain
	Root       TrialID // first entry of the chain; its own ID for a first entry; set by the store
	Order      int     // the planned run it carries out, 0: not planned
	Block      int     // 0: none
	Hand       ID
	Item       ID
	Setting    ID
	Strategy   StrategyKind
	Planned    orient.Rotation  // as asked
	Measured   *orient.Rotation // as measured, nil: not measured
	Closing    float64          // 0…1
	Offset     [3]float64       // m, in the setting frame
	PeakForce  *float64         // N
	Duration   *float64         // s
	Outcome    Outcome
	VoidReason string // why it does not count; only with OutcomeVoid
	Reference  bool   // a block's reference trial
	Proof      ID     // the proof run it belongs to; empty: none. A correction keeps its trial's
	Operator   string
	Note       string
	Recordings []Recording
	StartedAt  time.Time // zero: not known
	RecordedAt time.Time // when the entry was stored; set by the workflow
}

// Rotation returns the measured orientation where there is one, else the planned.
func (t *Trial) Rotation() orient.Rotation {
	if t.Measured != nil {
		return *t.Measured
	}
	return t.Planned
}

// Apart says whether the trial is kept out of maps and of what is chosen by them: a reference trial shows drift, and a
// trial of a proof run must be news to what it is to prove.
func (t *Trial) Apart() bool { return t.Reference || t.Proof != "" }

// Recording names a stored file by what it holds.
type Recording struct {
	SHA256 string // lower-case hex digest of the content
	Name   string // file name as given
	Type   string // media type
	Size   int64  // bytes
}

// ReplayType is the media type of the recording that is a simulated trial's film.
const ReplayType = "application/vnd.holdfast.replay+gzip"

// Replay returns the recording that is the trial's film; nil: there is none.
func (t *Trial) Replay() *Recording {
	for i := range t.Recordings {
		if t.Recordings[i].Type == ReplayType {
			return &t.Recordings[i]
		}
	}
	return nil
}

// Validate says which fields break a rule, without looking at the study.
func (t *Trial) Validate() error {
	var c checks
	if t.Key == "" || len(t.Key) > 200 {
		c.fail("key", t.Key, "must be 1 to 200 bytes: any text that is new for each trial, repeated when a request is sent again")
	}
	if !t.Outcome.Valid() {
		c.fail("outcome", t.Outcome, "must be one of held, dropped, slipped, missed, pushed, damaged, stopped, failed, void")
	}
	if t.Outcome == OutcomeVoid && strings.TrimSpace(t.VoidReason) == "" {
		c.fail("void_reason", "", "a void trial needs a reason")
	}
	if t.Outcome != OutcomeVoid && t.VoidReason != "" {
		c.fail("void_reason", t.VoidReason, "is only for the outcome void")
	}
	if !(math.Abs(t.Planned.Norm()-1) <= 1e-6) {
		c.fail("orientation", t.Planned, "must be a unit quaternion or tilt, azimuth and roll")
	}
	if t.Measured != nil && !(math.Abs(t.Measured.Norm()-1) <= 1e-6) {
		c.fail("measured", *t.Measured, "must be a unit quaternion or tilt, azimuth and roll")
	}
	c.between("closing", t.Closing, 0, 1, "")
	for i, f := range []string{"offset_x_mm", "offset_y_mm", "offset_z_mm"} {
		c.between(f, t.Offset[i]*1e3, -1000, 1000, " mm")
	}
	if t.PeakForce != nil {
		c.between("peak_force_N", *t.PeakForce, 0, 10000, " N")
	}
	if t.Duration != nil {
		c.between("duration_s", *t.Duration, 0, 86400, " s")
	}
	if len(t.Note) > 4000 {
		c.fail("note", len(t.Note), "must be at most 4000 bytes long")
	}
	return c.err("trial")
}

// Finding is what an inspection found.
type Finding string

// The findings.
const (
	FindingSound   Finding = "sound"
	FindingDamaged Finding = "damaged"
)

// Inspection is a later look at an item: bruises show hours after the trial. It changes the trial's counted outcome
// without rewriting it. The newest inspection of a trial counts.
type Inspection struct {
	ID        int64   // set by the store, ascending
	Trial     TrialID // any entry of the trial's chain; the store keeps the root
	Key       string  // idempotency key
	Finding   Finding
	Inspector string
	Note      string
	SeenAt    time.Time // when the item was looked at
	Recorded  time.Time // when the entry was stored
}

// Validate says which fields break a rule.
func (in *Inspection) Validate() error {
	var c checks
	if in.Trial <= 0 {
		c.fail("trial", in.Trial, "must be the number of a recorded trial")
	}
	if in.Key == "" || len(in.Key) > 200 {
		c.fail("key", in.Key, "must be 1 to 200 bytes")
	}
	if in.Finding != FindingSound && in.Finding != FindingDamaged {
		c.fail("finding", in.Finding, "must be sound or damaged")
	}
	return c.err("inspection")
}

// CountedTrial is a trial as it counts now: the newest entry of its chain with the newest inspection applied.
type CountedTrial struct {
	Trial              // the newest entry
	Counted    Outcome // Outcome, or damaged when an inspection found damage on a trial that counts
	Entries    int     // how many entries the chain has
	Inspection Finding // newest finding; empty: not inspected
}

// Count derives the counted outcome of an entry from the newest inspection's finding (empty: none).
func Count(o Outcome, finding Finding) Outcome {
	if finding == FindingDamaged && o.Counts() {
		return OutcomeDamaged
	}
	return o
}

// Held says whether the trial counts as a success.
func (t *CountedTrial) Held() bool { return t.Counted == OutcomeHeld }
