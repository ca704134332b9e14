package domain

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"holdfast/orient"
)

// ModelFit is a simulation fitted to the bench trials of one condition, as it was found: the newest of each condition is kept.
type ModelFit struct {
	ID            ID // see [ModelFitID]
	Study         ID
	Condition     Condition
	Trials, Held  int // bench trials behind it
	Simulated     int // simulated trials behind it
	Quantities    []FittedQuantity
	Correlation   [][]float64 // of the quantities on their scales
	Tilts         []ModelBand // by tilt, ascending
	Azimuths      []ModelBand // by azimuth, ascending; none where a symmetry leaves it without meaning
	Disagreements []ModelRegion
	Differs       float64         // probability that the bench follows another pattern over orientations
	Unlikely      []UnlikelyTrial // least likely first
	Trust         float64         // 0 … 1: weight of the map that leans on the simulation, by the evidence
	Saved         float64         // bench trials that the map without would need in addition; good for an order of magnitude
	Sentence      string
	Warnings      []string
	Prior         ModelPrior
	Evidence      string // SHA-256 of the bench trials it was fitted to, lower-case hex
	OffsetsKnown  bool
	Seed          uint64
	FittedAt      time.Time
	InUse         bool // as prior mean of the condition's map
	Meta
}

// FittedQuantity is what the bench trials say about one quantity of the simulation, in the unit that its name tells.
type FittedQuantity struct {
	Name, Words         string
	Mean, Low, High     float64 // 5 % and 95 % quantiles
	PriorLow, PriorHigh float64 // the same before any trial
	Told                float64 // 0 … 1: the share of the spread before that the trials took away
}

// ModelBand is a range of an angle with what bench and fitted simulation say there.
type ModelBand struct {
	From, To                  float64 // rad
	Trials, Held              int
	Expected, ExpectedLow     float64 // held trials by the fitted simulation: mean, 5 % quantile
	ExpectedHigh              float64 // 95 % quantile
	ObservedLow, ObservedHigh float64 // 90 % interval of the bench's share, 0 … 1
}

// ModelRegion is a set of trials that held surprisingly often or seldom.
type ModelRegion struct {
	Sentence string
	Chance   float64 // of as large a deviation anywhere, if the simulation were right
}

// UnlikelyTrial is a bench trial that ended otherwise than the fitted simulation expects.
type UnlikelyTrial struct {
	Trial    TrialID // first entry
	Rotation orient.Rotation
	Outcome  Outcome
	Chance   float64 // that it ends as it did, held or not, by the fitted simulation
}

// ModelPrior is a function over orientations, log-odds, by its coefficients.
type ModelPrior struct {
	Symmetry     orient.Symmetry
	Degree       int
	Coefficients []float64
}

// ModelFitID names the fit of a study's condition.
func ModelFitID(study ID, c Condition) ID {
	sum := sha256.Sum256([]byte(string(study) + "\x00" + string(c.Hand) + "\x00" + string(c.Item) + "\x00" + string(c.Setting) + "\x00" + string(c.Strategy)))
	return ID("fit-" + hex.EncodeToString(sum[:16]))
}
