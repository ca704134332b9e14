package domain

import (
	"time"

	"holdfast/orient"
)

// Region is a contiguous set of orientations that a card tolerates: covering points, each standing for all
// orientations within Spacing of it.
type Region struct {
	Points  []orient.Rotation
	Spacing float64 // rad, covering radius of the points it was cut from
	Radius  float64 // rad, largest distance from the nominal orientation at which every orientation is inside
	Share   float64 // share of all orientations within the study's tilt limit, 0…1
}

// Card is the released decision for one item on one line. A released card is never edited; it may be withdrawn.
type Card struct {
	ID          ID
	Study       ID
	Condition   Condition
	Steps       []Step
	Nominal     orient.Rotation
	Region      Region
	Closing     float64 // 0…1
	Line        LineError
	Success     float64 // expected success over the region, blurred by the line's error
	SuccessLow  float64 // 5 %
	SuccessHigh float64 // 95 %
	Target      float64
	Trials      int // counted trials behind it
	Held        int
	LastTrial   TrialID    // the newest entry that was considered
	Digest      string     // SHA-256 of the trials and settings it came from, lower-case hex
	Proof       *CardProof `json:",omitempty"` // how the newest proof run stood; nil: released without one
	Cautions    []string
	ReleasedBy  string
	ReleasedAt  time.Time
	Withdrawn   time.Time // zero: in force
	WithdrawnBy string
	Reason      string // why it was withdrawn
	Invented    bool
}

// Cautions lists the usual cautions for a hand and an item, in the order of harm; carrier is what carries them: "card",
// "sheet" or "page". They inform; the risk assessment, local codes and licensed practice decide.
func Cautions(carrier string, h *Hand, it *Item) []string {
	list := []string{
		"Moving robot: keep people out of the motion range, or use a safeguard that the risk assessment names, before any motion.",
		"Pinching: fingers close with force; keep hands clear of the hand and between hand, item and support.",
	}
	if h.Actuation == ActuationAir {
		list = append(list, "Compressed air: shut off and vent the line before touching the hand; a burst or a loose hose can injure.")
	}
	if it.Food {
		caution := "Food contact: clean to the plant's hygiene plan before and after; use only surfaces fit for contact with food."
		if !h.FoodContact {
			caution += " This hand is not declared fit for contact with food."
		}
		list = append(list, caution)
	}
	return append(list, "This "+carrier+" is not a safety function. The risk assessment, local codes and licensed practice decide.")
}
