package domain

import "time"

// Meta is what every edited noun carries.
type Meta struct {
	Revision int       // counts edits from 1; the ETag
	Created  time.Time // first stored
	Updated  time.Time // last edited
	Invented bool      // true for demonstration data that no bench ever saw
}

// Actuation is what closes a hand.
type Actuation string

// The two ways of closing a hand with one input.
const (
	ActuationMotor Actuation = "motor"
	ActuationAir   Actuation = "air"
)

// Hand is a compliant hand. The palm frame has z out of the palm and x across the fingers' opening.
type Hand struct {
	ID           ID
	Name         string
	Actuation    Actuation
	Fingers      int     // number of fingers, 1 to 8
	RollFold     int     // the hand looks the same after a turn of 1/RollFold about the palm axis; 1: not symmetric
	Mirror       bool    // the plane through the palm axis and the fingers' opening is a mirror plane of the hand
	FingerLength float64 // m, palm to tip
	PalmDiameter float64 // m
	OpeningMax   float64 // m, largest free opening between finger tips
	CommandUnit  string  // what the closing command maps to: "mm" of motor travel or "kPa" of pressure
	CommandFull  float64 // travel (mm) or pressure (kPa) at closing command 1
	ForceMax     float64 // N, largest total grip force
	FoodContact  bool    // surfaces declared fit for contact with food by their maker
	Note         string
	Meta
}

// Validate says which fields break a rule.
func (h *Hand) Validate() error {
	var c checks
	c.id("id", h.ID)
	c.name("name", h.Name)
	if h.Actuation != ActuationMotor && h.Actuation != ActuationAir {
		c.fail("actuation", h.Actuation, "must be %q or %q", ActuationMotor, ActuationAir)
	}
	c.between("fingers", float64(h.Fingers), 1, 8, "")
	c.between("roll_fold", float64(h.RollFold), 1, 12, "")
	c.between("finger_length_mm", h.FingerLength*1e3, 5, 500, " mm")
	c.between("palm_diameter_mm", h.PalmDiameter*1e3, 5, 500, " mm")
	c.between("opening_max_mm", h.OpeningMax*1e3, 1, 1000, " mm")
	if h.CommandUnit != "mm" && h.CommandUnit != "kPa" {
		c.fail("command_unit", h.CommandUnit, "must be mm (motor travel) or kPa (pressure)")
	}
	c.between("command_full", h.CommandFull, 0, 10000, "")
	c.between("force_max_N", h.ForceMax, 0, 1000, " N")
	return c.err("hand")
}
