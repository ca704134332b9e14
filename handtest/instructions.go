package handtest

// Instruction says how a test is done and what can hurt.
type Instruction struct {
	How      string   `json:"how"`
	Cautions []string `json:"cautions"`
	Source   string   `json:"source"` // of the method, or that it is common practice
}

// What the tests rest on.
const (
	handMethods = "After J. Falco, K. Van Wyk and E. Messina, Performance Metrics and Test Methods for Robotic Hands, NIST SP 1227, draft, 2018; definitions from memory"
	practice    = "Common practice, no source"
)

// What can hurt.
const (
	pinching = "Pinching: fingers close on whatever is between them. Cut motion and air before reaching in, and lock them off."
	striking = "Striking: a fast or breaking finger can hit. Stand clear of its sweep and wear eye protection."
	pulling  = "Pulling out: the item and the line come free at once. Wear eye protection, stand beside the line of pull, and catch the item with a soft stop."
	airLine  = "Air: fix hoses, raise the pressure slowly, stay below what the finger is rated for, and wear eye protection: a chamber can burst."
	snapping = "Springs and tendons snap back. Wear eye protection and release the tension before changing the set-up."
	unseen   = "A run that nobody watches needs a guard around it and a stop that acts on its own."
)

// Instruction returns how the test is done.
func (k Kind) Instruction() Instruction { return instructions[k.Name] }

var instructions = map[string]Instruction{
	"closing": {"Fix the palm, leave the fingers free, and close and open the hand over its whole command at least five times. Log time, command and the opening between two opposite fingertips, in the order they are read.",
		[]string{pinching, striking}, handMethods + " (cycle time)"},
	"strength": {"Press one finger against a fixed load cell, straight or in a pose that the variant names. Take the largest force of each push, ten pushes a finger.",
		[]string{pinching, striking}, handMethods + " (finger strength)"},
	"grip": {"Close the hand fully on a cylinder split along its length with a load cell between the halves. Take at least three diameters, five grips each, in mixed order.",
		[]string{pinching}, handMethods + " (grasp strength)"},
	"payload": {"Hold the item as in the cell and pull it slowly and straight until it slips, or to the largest pull that is sensible. Wipe surfaces between pulls as the cell does.",
		[]string{pulling, pinching}, handMethods + " (slip resistance)"},
	"touch": {"Touch the skin with a known small force and note whether the hand told a touch. Mix the forces, and put in as many rounds with no touch at all.",
		[]string{pinching}, handMethods + " (touch sensitivity)"},
	"stiffness": {"Push the fingertip away and let it come back, slowly, at least three cycles in each direction: closing, opening, sideways. Log deflection and force in the order they are read.",
		[]string{snapping, pinching}, practice + "; compare the hand's compliance in NIST SP 1227 (grasp compliance)"},
	"bending": {"Let one finger bend freely, hanging so that its weight does not help, and read the angle between root and tip at four pressures or more, going up.",
		[]string{airLine, striking}, "Arc under a constant moment: a textbook cantilever with an end moment; practice without a source"},
	"blocking": {"Hold the finger straight, by a rail along its back or at its tip only, with the tip on a load cell, and read the force at four pressures or more.",
		[]string{airLine, pinching}, "Force of a straight finger, moment over length: P. Polygerinos and others, IEEE Transactions on Robotics 31 (2015) 778; from memory"},
	"tendon": {"Draw the tendon of one finger slowly by a spindle with a load cell in line and let it back. Log travel, tension and the angle of the last link, both ways.",
		[]string{snapping, pinching}, "Friction of ropes around curves (Euler, 1769; textbook)"},
	"relaxation": {"Deflect the finger or squeeze the pad by a fixed amount, quickly, and hold it. Log the force until it hardly changes, at least three times the longest time constant looked for.",
		[]string{pinching, snapping}, "Standard linear solid with a ramp: textbook of viscoelasticity, no single source"},
	"repeatability": {"Measure the same thing several times in each of several groups: pieces of the hand, people, benches, or days. One unit throughout. To tell pieces and people apart, let all people measure all pieces, twice or more, in mixed order.",
		[]string{pinching}, "ISO 5725-2:1994; pieces and people crossed after Measurement Systems Analysis, AIAG, 4th edition, 2010; from memory"},
	"wear": {"Cycle the hand and measure the same thing now and then: grip force, opening, or a leak.",
		[]string{unseen, pinching}, practice},
	"life": {"Run several pieces until they fail, or stop them at a number of cycles. A piece that still runs counts with its cycles so far.",
		[]string{unseen, striking, airLine}, "Weibull by maximum likelihood with runs that go on: W. Q. Meeker and L. A. Escobar, Statistical Methods for Reliability Data, 1998; from memory"},
	"cost": {"Take price and life of the hand or of the part that wears, and the energy of one pick from a meter over many picks. Read the meter over five such stretches or more, a row each with the same price and life, so that its scatter is known.",
		[]string{"Measuring mains current is work for somebody licensed for it; use a meter that plugs in between."}, practice},
}

// SheetCautions is what stands under every hand sheet.
func SheetCautions() []string {
	return []string{
		pinching,
		"Figures hold for the pieces, poses and speeds that were tested. They do not follow a hand through wear, cleaning and other goods.",
		"Local codes, the risk assessment and licensed practice come first. No figure here makes a safety function.",
	}
}
