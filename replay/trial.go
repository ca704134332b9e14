package replay

import (
	"slices"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
)

// MediaType is what a replay among a trial's recordings calls itself.
const MediaType = domain.ReplayType

// Format is the first field of every document.
const Format = "holdfast-replay/1"

// FileName is what a replay is called where nothing else is known.
const FileName = "replay.json.gz"

// Trial is a simulated trial with its film, in SI.
type Trial struct {
	Hand, Item, Setting, Strategy string // names
	Kind                          string // of the strategy
	Attempt                       trialsim.Attempt
	Result                        trialsim.Result
	Fingers                       []string
	Joints                        []Joint // of all fingers in their order
	Cords                         []Cord
	Film                          trialsim.Film
	// Hold is what the contacts at the end of the hold can bear; nil: nothing was held, or it can not be told.
	Hold *trialsim.Holding
}

// Joint says whose joint it is and whether it slides.
type Joint struct {
	Finger int // from 0
	Slides bool
}

// Cord says what draws a cord and over which fingers it runs, from 0.
type Cord struct {
	Motor   int
	Fingers []int
	Pushes  bool // a rod
}

// Of puts a trial and its film together. What the film does not tell is taken from the scene.
func Of(s *trialsim.Scene, a trialsim.Attempt, r trialsim.Result, film trialsim.Film) *Trial {
	t := &Trial{
		Hand: s.Hand.Name, Item: s.Item.Name, Setting: s.Setting.Name, Strategy: s.Strategy.Name, Kind: s.Strategy.Kind,
		Attempt: a, Result: r, Film: film,
	}
	if h, err := r.Hold(s.Gravity); err == nil {
		t.Hold = &h
	}
	for i := range s.Hand.Fingers {
		f := &s.Hand.Fingers[i]
		t.Fingers = append(t.Fingers, f.Name)
		for j := range f.Chain.Joints() {
			t.Joints = append(t.Joints, Joint{Finger: i, Slides: f.Chain.Joint(j).Slides})
		}
	}
	for _, c := range s.Hand.Cords {
		cord := Cord{Motor: c.Motor, Pushes: c.Pushes}
		for j, arm := range c.Arms {
			if f := t.Joints[j].Finger; arm != 0 && !slices.Contains(cord.Fingers, f) {
				cord.Fingers = append(cord.Fingers, f)
			}
		}
		t.Cords = append(t.Cords, cord)
	}
	return t
}
