package workflow

import (
	"time"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/acceptance"
)

// Prior is a beta distribution of the success probability: what it is worth in successes and failures.
type Prior = acceptance.Beta

// ProofPoint is what a design does at one true share of failures.
type ProofPoint = acceptance.Characteristics

// ProofQuestion asks what a design of a proof run would do.
type ProofQuestion struct {
	Study  domain.ID
	Design domain.ProofDesign
	Target float64 // success to compare with, 0…1; 0: the design's, else the study's
	Prior  *Prior  // of the success probability; nil: even
}

// ProofPlan is what a design does.
type ProofPlan struct {
	Design         domain.ProofDesign
	Rule           string // in words
	Longest        int    // trials
	Allowed        int    // failures that are accepted at the end
	Accept, Reject []int  // failures at which the run is accepted or rejected after 1, 2, … trials; see acceptance.Plan
	Curve          []ProofPoint
	Points         []ProofPoint      // a few telling ones
	Sentences      []string          // what the plan does at some of them, in words
	Lines          *acceptance.Lines // sequential: Wald's lines
	Approximate    []ProofPoint      // sequential: Wald's own approximation at its five points, beside Exact
	Exact          []ProofPoint
	Target         float64
	Prior          Prior
	Assurance      acceptance.Assurance
}

// ProofSubject is what a run would prove: the region that would be handed over now.
type ProofSubject struct {
	Condition          domain.Condition
	Nominal            orient.Rotation
	Region             domain.Region
	Closing            float64 // 0…1
	Line               domain.LineError
	Success, Low, High float64 // expected over the region, blurred by the line's error, by the map
	Prior              *Prior  // what the map says of the region, worth so many successes and failures; nil: nothing that a prior could hold
	Missing            string  // why there is no region; then the fields above but the condition are empty
	Cautions           []string
}

// SignProof asks for a proof run to be signed. Without an orientation its trials are drawn from the region that would be
// handed over now.
type SignProof struct {
	ID          domain.ID // made from item and hand when empty
	Study       domain.ID
	Condition   domain.Condition
	Design      domain.ProofDesign
	Target      float64          // 0: the design's, else the study's
	Prior       *Prior           // nil: even, since a proof should stand without the map
	Orientation *orient.Rotation // nil: the region
	Closing     *float64         // needed with an orientation when the study has several levels
	MinRadius   float64          // rad, as for a card
	Steady      bool             // leave the line's error out: the bench has its like already
	Note        string
	SignedBy    string
}

// ProofTask is the next trial of a run.
type ProofTask struct {
	Number      int // from 1, void ones counted
	Orientation orient.Rotation
	Offset      [3]float64 // m, in the setting frame
	Closing     float64    // 0…1
}

// ProofStep is one trial of a run, in order of acknowledgement.
type ProofStep struct {
	ProofTask
	Trial     domain.TrialID // first entry
	Newest    domain.TrialID
	Counted   domain.Outcome
	Entered   domain.Outcome // as it was first entered
	Changed   bool           // it counts otherwise than it was first entered
	Trials    int            // that count up to here, this one included
	Failures  int            // among them
	Beyond    bool           // made after the decision: not part of it
	Operator  string
	StartedAt time.Time
	Recorded  time.Time // of the first entry

	key string // of the first entry
}

// ProofState is a run and how it stands.
type ProofState struct {
	domain.Proof
	Intact         bool   // what was signed still has its digest
	Verdict        string // "accepted", "rejected", "go on" or "given up"
	Sentence       string // the verdict in words
	AsEntered      string // the verdict by the outcomes as they were first entered, when it differs; else empty
	Accept, Reject []int
	Longest        int
	Trials         int // that count towards the verdict
	Failures       int
	Void           int
	Beyond         int
	Changed        int
	Low, High      float64 // of the success probability at [IntervalLevel]; they know how the run may stop
	Posterior      Prior
	Reaches        float64 // posterior chance that the success probability exceeds the target
	Steps          []ProofStep
	Next           *ProofTask // nil: decided or given up
	Cautions       []string
}

// NewProofTrial is a trial of a run as it is logged. Orientation, offset and closing are those of the task.
type NewProofTrial struct {
	Key        string
	Number     int // of the task that was carried out; 0: whichever is next
	Outcome    domain.Outcome
	VoidReason string
	Measured   *orient.Rotation
	PeakForce  *float64 // N
	Duration   *float64 // s
	Operator   string
	Note       string
	Recordings []string
	StartedAt  time.Time
}

// verdictGivenUp stands beside the verdicts of the statistics.
const verdictGivenUp = "given up"
