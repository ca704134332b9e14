package domain

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"holdfast/orient"
)

// Proof is a run of trials whose rule was signed before the first of them. Nothing of what was signed changes after; a run
// that can not be carried to its end is given up, and stays on record. Its trials are trials of the study that name it.
type Proof struct {
	ID        ID
	Study     ID
	Condition Condition
	Design    ProofDesign
	Rule      string          // the design's rule in words, as it was signed
	Target    float64         // success asked for, 0…1
	Nominal   orient.Rotation // the orientation at the region's heart
	Region    Region          // where the trials' orientations are drawn from; without points: all at Nominal
	Closing   float64         // 0…1
	Line      LineError       // its placement error is put on every trial on purpose
	Prior     [2]float64      // successes and failures that the prior of the success probability is worth
	Seed      uint64          // of the trials' orientations and placement offsets
	Note      string
	SignedBy  string
	SignedAt  time.Time
	Digest    string // SHA-256 over all of the above, lower-case hex; see Sum
	Invented  bool

	GivenUp   time.Time // zero: not given up
	GivenUpBy string
	Reason    string // why it was given up
}

// Sum returns the digest of what was signed: SHA-256 over the proof as JSON, fields in the order above, numbers in their
// shortest form, without the digest itself and what was added after signing.
func (p Proof) Sum() string {
	p.Digest, p.GivenUp, p.GivenUpBy, p.Reason = "", time.Time{}, "", ""
	p.SignedAt = p.SignedAt.UTC().Round(0)
	if len(p.Region.Points) == 0 {
		p.Region.Points = nil
	}
	raw, err := json.Marshal(p)
	if err != nil { // a number that is not finite; Validate refuses those
		return ""
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

// Validate says which fields break a rule. Whether the design makes a rule is the statistics' to say.
func (p *Proof) Validate() error {
	var c checks
	c.id("id", p.ID)
	c.id("study", p.Study)
	if s := strings.TrimSpace(p.SignedBy); s == "" || len(s) > 120 {
		c.fail("signed_by", p.SignedBy, "must be a name of 1 to 120 bytes")
	}
	if len(p.Note) > 4000 {
		c.fail("note", len(p.Note), "must be at most 4000 bytes long")
	}
	c.between("target", p.Target, 0, 1, "")
	c.between("closing", p.Closing, 0, 1, "")
	for i, f := range []string{"prior_successes", "prior_failures"} {
		if !(p.Prior[i] > 0 && p.Prior[i] <= 1e6) {
			c.fail(f, p.Prior[i], "must be above 0 and at most 1000000")
		}
	}
	for i, r := range append([]orient.Rotation{p.Nominal}, p.Region.Points...) {
		if !(math.Abs(r.Norm()-1) <= 1e-6) {
			field := "orientation"
			if i > 0 {
				field = fmt.Sprintf("region[%d]", i-1)
			}
			c.fail(field, r, "must be a unit quaternion")
		}
	}
	return c.err("proof run")
}

// CardProof is what a pick card tells of a proof run: how it stood when the card was released.
type CardProof struct {
	ID         ID
	Rule       string  // in words
	Verdict    string  // "accepted", "rejected", "go on" or "given up"
	Trials     int     // that counted towards the verdict
	Failures   int     // among them
	Void       int     // that did not count
	Corrected  int     // trials whose entry was corrected, or that a later inspection changed
	Low        float64 // bounds of the success probability that know how the run may stop
	High       float64
	Level      float64 // of the interval, 0…1
	SameRegion bool    // the proof was made at the card's orientations and closing command
	SignedBy   string
	SignedAt   time.Time
	Digest     string // of what was signed
}
