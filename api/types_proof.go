package api

import "time"

// ProofDesign is what a proof run is asked to show. Which fields count depends on the kind; leave the others out.
type ProofDesign struct {
	Kind         string  `json:"kind" enum:"success-run,two-point,table,double,sequential"`
	Success      float64 `json:"success,omitempty" minimum:"0" maximum:"1" doc:"Success run: success probability to show"`
	Confidence   float64 `json:"confidence,omitempty" minimum:"0" maximum:"1" doc:"Success run"`
	Failures     int     `json:"failures,omitempty" minimum:"0" maximum:"1000" doc:"Success run: failures allowed"`
	Good         float64 `json:"good,omitempty" minimum:"0" maximum:"1" doc:"Two-point, sequential: share of failures that should pass"`
	Bad          float64 `json:"bad,omitempty" minimum:"0" maximum:"1" doc:"Two-point, sequential: share of failures that should not pass"`
	ProducerRisk float64 `json:"producer_risk,omitempty" minimum:"0" maximum:"1" doc:"Largest chance that the good share is rejected"`
	ConsumerRisk float64 `json:"consumer_risk,omitempty" minimum:"0" maximum:"1" doc:"Largest chance that the bad share is accepted"`
	Longest      int     `json:"longest,omitempty" minimum:"0" maximum:"5000" doc:"Sequential: cut off after so many trials; 0: one and a half times the fixed plan"`
	LotSize      int     `json:"lot_size,omitempty" minimum:"0" doc:"Table: items in the lot"`
	Level        string  `json:"level,omitempty" enum:",S-1,S-2,S-3,S-4,I,II,III" doc:"Table: inspection level"`
	AQLPct       float64 `json:"aql_pct,omitempty" minimum:"0" maximum:"100" doc:"Table: acceptance quality limit, per cent failing"`
	Severity     string  `json:"severity,omitempty" enum:",normal,tightened" doc:"Table"`
	First        int     `json:"first,omitempty" minimum:"0" maximum:"5000" doc:"Double: trials of the first sample"`
	FirstAllowed int     `json:"first_allowed,omitempty" minimum:"0" doc:"Double: failures with which the first sample is accepted"`
	FirstRejects int     `json:"first_rejects,omitempty" minimum:"0" doc:"Double: failures with which the first sample is rejected"`
	Second       int     `json:"second,omitempty" minimum:"0" maximum:"5000" doc:"Double: trials of the second sample"`
	BothAllowed  int     `json:"both_allowed,omitempty" minimum:"0" doc:"Double: failures allowed in both samples together"`
	FullLength   bool    `json:"full_length,omitempty" doc:"Run all trials even when the outcome is certain"`
}

// ProofQuestion asks what a design would do.
type ProofQuestion struct {
	Design         ProofDesign `json:"design"`
	Target         float64     `json:"target,omitempty" minimum:"0" maximum:"1" doc:"Success to compare with; 0: the design's, else the study's"`
	PriorSuccesses *float64    `json:"prior_successes,omitempty" doc:"Of the success probability; left out: even"`
	PriorFailures  *float64    `json:"prior_failures,omitempty"`
}

// ProofPoint is what a design does at one true success.
type ProofPoint struct {
	Success float64 `json:"success"`
	Pass    float64 `json:"pass" doc:"Chance that the run is accepted"`
	Trials  float64 `json:"trials" doc:"Expected number of trials"`
}

// ProofLines are Wald's lines in the plane of failures over trials: accepted at or below intercept_accept + slope·trials,
// rejected at or above intercept_reject + slope·trials.
type ProofLines struct {
	InterceptAccept float64      `json:"intercept_accept"`
	InterceptReject float64      `json:"intercept_reject"`
	Slope           float64      `json:"slope"`
	Approximate     []ProofPoint `json:"approximate" doc:"Wald's own approximation at his five points; too short"`
	Exact           []ProofPoint `json:"exact" doc:"The same points, exactly"`
}

// ProofSubject is what a run would prove.
type ProofSubject struct {
	Hand           string        `json:"hand"`
	Item           string        `json:"item"`
	Setting        string        `json:"setting"`
	Strategy       string        `json:"strategy"`
	Nominal        *Orientation  `json:"nominal,omitempty"`
	Region         []Orientation `json:"region"`
	SpacingDeg     float64       `json:"spacing_deg"`
	RadiusDeg      float64       `json:"radius_deg"`
	Closing        float64       `json:"closing"`
	LineError      LineError     `json:"line_error"`
	Success        float64       `json:"success" doc:"By the map: expected over the region, blurred by the line's error"`
	Low            float64       `json:"low"`
	High           float64       `json:"high"`
	PriorSuccesses *float64      `json:"prior_successes,omitempty" doc:"What the map says of the region, as a prior worth so many successes and failures"`
	PriorFailures  *float64      `json:"prior_failures,omitempty"`
	Missing        string        `json:"missing,omitempty" doc:"Why there is no region to prove"`
	Cautions       []string      `json:"cautions"`
}

// ProofPlan is what a design does.
type ProofPlan struct {
	Rule           string       `json:"rule" doc:"In words"`
	Longest        int          `json:"longest" doc:"Trials after which every run is decided"`
	Allowed        int          `json:"allowed" doc:"Failures that are accepted at the end"`
	Accept         []int        `json:"accept" doc:"Entry n-1: accepted after n trials with so many failures or fewer; -1: not there"`
	Reject         []int        `json:"reject" doc:"Entry n-1: rejected after n trials with so many failures or more; above n: not there"`
	Curve          []ProofPoint `json:"curve"`
	Points         []ProofPoint `json:"points"`
	Sentences      []string     `json:"sentences"`
	Lines          *ProofLines  `json:"lines,omitempty"`
	Target         float64      `json:"target"`
	PriorSuccesses float64      `json:"prior_successes"`
	PriorFailures  float64      `json:"prior_failures"`
	Pass           float64      `json:"pass" doc:"Chance to pass, all doubt of the prior counted"`
	TargetIfPassed *float64     `json:"target_if_passed,omitempty" doc:"Chance that the success exceeds the target, given that the run passes"`
	ExpectedTrials float64      `json:"expected_trials" doc:"Under the prior"`
}

// SignProof signs a proof run. Left out orientation: its trials are drawn from the region that would be handed over now.
type SignProof struct {
	ID             string       `json:"id,omitempty"`
	Hand           string       `json:"hand,omitempty"`
	Item           string       `json:"item,omitempty"`
	Setting        string       `json:"setting,omitempty"`
	Strategy       string       `json:"strategy,omitempty"`
	Design         ProofDesign  `json:"design"`
	Target         float64      `json:"target,omitempty" minimum:"0" maximum:"1"`
	PriorSuccesses *float64     `json:"prior_successes,omitempty" doc:"Left out: 1"`
	PriorFailures  *float64     `json:"prior_failures,omitempty" doc:"Left out: 1"`
	Orientation    *Orientation `json:"orientation,omitempty" doc:"Prove this one orientation instead of the region"`
	Closing        *float64     `json:"closing,omitempty"`
	MinRadiusDeg   float64      `json:"min_radius_deg,omitempty" minimum:"0" maximum:"90"`
	Steady         bool         `json:"steady,omitempty" doc:"Leave the line's error out of the trials: the bench has its like already"`
	Note           string       `json:"note,omitempty"`
	SignedBy       string       `json:"signed_by"`
}

// ProofTask is the next trial of a run.
type ProofTask struct {
	Number      int         `json:"number" doc:"From 1, void trials counted"`
	Orientation Orientation `json:"orientation"`
	OffsetXMM   float64     `json:"offset_x_mm" doc:"Where to put the item, minus where it will be believed to be"`
	OffsetYMM   float64     `json:"offset_y_mm"`
	Closing     float64     `json:"closing"`
}

// ProofStep is one trial of a run.
type ProofStep struct {
	ProofTask
	Trial      int64      `json:"trial" doc:"First entry"`
	Newest     int64      `json:"newest" doc:"Newest entry: the one to correct"`
	Counted    string     `json:"counted" doc:"As it counts now, with inspections"`
	Entered    string     `json:"entered" doc:"As it was first entered"`
	Changed    bool       `json:"changed" doc:"It counts otherwise than it was first entered"`
	Trials     int        `json:"trials" doc:"That count up to here"`
	Failures   int        `json:"failures" doc:"Among them"`
	Beyond     bool       `json:"beyond" doc:"Made after the decision, not part of it"`
	Operator   string     `json:"operator,omitempty"`
	StartedAt  *time.Time `json:"started_at,omitempty"`
	RecordedAt time.Time  `json:"recorded_at"`
}

// Proof is a signed proof run and how it stands.
type Proof struct {
	ID             string        `json:"id"`
	Study          string        `json:"study"`
	Hand           string        `json:"hand"`
	Item           string        `json:"item"`
	Setting        string        `json:"setting"`
	Strategy       string        `json:"strategy"`
	Design         ProofDesign   `json:"design"`
	Rule           string        `json:"rule"`
	Target         float64       `json:"target"`
	Nominal        Orientation   `json:"nominal"`
	Region         []Orientation `json:"region" doc:"Empty: all trials at the nominal orientation"`
	SpacingDeg     float64       `json:"spacing_deg"`
	RadiusDeg      float64       `json:"radius_deg"`
	Closing        float64       `json:"closing"`
	LineError      LineError     `json:"line_error" doc:"Put on every trial on purpose"`
	PriorSuccesses float64       `json:"prior_successes"`
	PriorFailures  float64       `json:"prior_failures"`
	Seed           string        `json:"seed"`
	Note           string        `json:"note,omitempty"`
	SignedBy       string        `json:"signed_by"`
	SignedAt       time.Time     `json:"signed_at"`
	Digest         string        `json:"digest" doc:"SHA-256 of what was signed"`
	Intact         bool          `json:"intact" doc:"What was signed still has its digest"`
	GivenUp        *time.Time    `json:"given_up,omitempty"`
	GivenUpBy      string        `json:"given_up_by,omitempty"`
	Reason         string        `json:"reason,omitempty"`
	Invented       bool          `json:"invented"`
	Verdict        string        `json:"verdict" enum:"accepted,rejected,go on,given up"`
	Sentence       string        `json:"sentence" doc:"The verdict in words"`
	AsEntered      string        `json:"as_entered,omitempty" doc:"The verdict by the outcomes as first entered, when corrections or inspections changed it"`
	Accept         []int         `json:"accept"`
	Reject         []int         `json:"reject"`
	Longest        int           `json:"longest"`
	Trials         int           `json:"trials" doc:"That count towards the verdict"`
	Failures       int           `json:"failures"`
	Void           int           `json:"void"`
	Beyond         int           `json:"beyond" doc:"Made after the decision"`
	Changed        int           `json:"changed" doc:"Trials that count otherwise than they were first entered"`
	Low            float64       `json:"low" doc:"90 % interval of the success probability that knows how the run may stop"`
	High           float64       `json:"high"`
	Mean           float64       `json:"mean" doc:"Of the posterior"`
	Reaches        float64       `json:"reaches" doc:"Posterior chance that the success exceeds the target"`
	Steps          []ProofStep   `json:"steps"`
	Next           *ProofTask    `json:"next,omitempty"`
	Cautions       []string      `json:"cautions"`
}

// NewProofTrial logs a trial of a run. Orientation, offset and closing are those of its task.
type NewProofTrial struct {
	Key        string       `json:"key" doc:"Any text that is new for each trial; repeat it when you send the same request again"`
	Number     int          `json:"number,omitempty" minimum:"0" doc:"Of the task that was carried out; 0: whichever is next"`
	Outcome    string       `json:"outcome" enum:"held,dropped,slipped,missed,pushed,damaged,stopped,failed,void"`
	VoidReason string       `json:"void_reason,omitempty"`
	Measured   *Orientation `json:"measured,omitempty" doc:"As measured"`
	PeakForceN *float64     `json:"peak_force_N,omitempty"`
	DurationS  *float64     `json:"duration_s,omitempty"`
	Operator   string       `json:"operator,omitempty"`
	Note       string       `json:"note,omitempty"`
	Recordings []string     `json:"recordings,omitempty" doc:"Digests of files that were stored before"`
	StartedAt  *time.Time   `json:"started_at,omitempty"`
}

// CardProof is how the newest proof run of a card's condition stood when the card was released.
type CardProof struct {
	ID         string    `json:"id"`
	Rule       string    `json:"rule"`
	Verdict    string    `json:"verdict" enum:"accepted,rejected,go on,given up"`
	Trials     int       `json:"trials"`
	Failures   int       `json:"failures"`
	Void       int       `json:"void"`
	Changed    int       `json:"changed"`
	Low        float64   `json:"low"`
	High       float64   `json:"high"`
	Level      float64   `json:"level"`
	SameRegion bool      `json:"same_region" doc:"Made at the card's orientations and closing command"`
	SignedBy   string    `json:"signed_by"`
	SignedAt   time.Time `json:"signed_at"`
	Digest     string    `json:"digest"`
}
