package domain

// ProofKind says how a proof run was designed.
type ProofKind string

// The kinds of proof run.
const (
	ProofSuccessRun ProofKind = "success-run" // as many trials as a confidence takes, with at most so many failures
	ProofTwoPoint   ProofKind = "two-point"   // the smallest fixed plan that keeps two risks
	ProofTable      ProofKind = "table"       // single sampling by the standard tables
	ProofDouble     ProofKind = "double"      // a second sample decides where the first does not
	ProofSequential ProofKind = "sequential"  // Wald's test with truncation
)

// ProofKinds lists the kinds in the order in which pages show them.
var ProofKinds = []ProofKind{ProofSuccessRun, ProofTwoPoint, ProofTable, ProofDouble, ProofSequential}

// ProofDesign is what a proof run is asked to show, before its first trial. Which fields count depends on the kind; the
// others are zero. The rule that follows from it is computed anew wherever it is needed, so it can not drift from it.
type ProofDesign struct {
	Kind ProofKind `json:"kind"`
	// Success run.
	Success    float64 `json:"success,omitempty"`    // success probability to show, 0…1
	Confidence float64 `json:"confidence,omitempty"` // 0…1
	Failures   int     `json:"failures,omitempty"`   // failures allowed
	// Two-point and sequential: shares of failures and risks, 0…1.
	Good         float64 `json:"good,omitempty"`          // share of failures that should pass
	Bad          float64 `json:"bad,omitempty"`           // share of failures that should not
	ProducerRisk float64 `json:"producer_risk,omitempty"` // largest chance that good is rejected
	ConsumerRisk float64 `json:"consumer_risk,omitempty"` // largest chance that bad is accepted
	Longest      int     `json:"longest,omitempty"`       // sequential: cut off after so many trials; 0: one and a half times the fixed plan
	// Table.
	Lot      int     `json:"lot,omitempty"`         // items in the lot
	Level    string  `json:"level,omitempty"`       // inspection level: S-1 … S-4, I, II, III
	Quality  float64 `json:"quality_pct,omitempty"` // acceptance quality limit, per cent failing
	Severity string  `json:"severity,omitempty"`    // normal or tightened
	// Double: trials and allowed failures of the first sample, of both together, and where the first rejects.
	First        int `json:"first,omitempty"`
	FirstAllowed int `json:"first_allowed,omitempty"`
	FirstRejects int `json:"first_rejects,omitempty"`
	Second       int `json:"second,omitempty"`
	BothAllowed  int `json:"both_allowed,omitempty"`

	FullLength bool `json:"full_length,omitempty"` // run all trials even when the outcome is certain
}
