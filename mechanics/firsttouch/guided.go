package firsttouch

import (
	"fmt"
	"io"
	"math"
	"strings"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/readings"
	"holdfast/statistics/guide"
)

// GuidedTrial is a trial in which the hand closed until it touched something, and a person then guided the wrist until the hand
// wrapped the item.
type GuidedTrial struct {
	Finger, Link int     // touched first, from 0; the palm is finger −1; link −1: not known
	Command      float64 // closing command at the touch, 0…1
	Place        float64 // m along the link from its root, where it was touched
	Direction    float64 // rad from the palm's x towards its y, in which the item lies from the pad
	Move         guide.Move
	Outcome      domain.Outcome // how the trial ended when the hand went on to close
}

// Guided is a table of such trials.
type Guided struct {
	Trials                             []GuidedTrial
	HasCommand, HasPlace, HasDirection bool // columns that the table has; else they are 0 throughout
}

// Bounds of what a person guides the wrist by; a strategy takes no more.
const (
	mostGuidedMM  = 100
	mostGuidedDeg = 90
)

// Bounds of the other columns: fingers and links, places and directions.
const (
	mostCounted      = 100
	mostPlaceMM      = 1000
	mostDirectionDeg = 360
)

// guidedColumns are the columns of the table.
func guidedColumns() []readings.Column {
	words := make([]string, len(domain.Outcomes))
	for i, o := range domain.Outcomes {
		words[i] = string(o)
	}
	return []readings.Column{
		{Name: "finger", Meaning: "finger touched first, from 1; 0: the palm", Natural: true},
		{Name: "link", Meaning: "link of it, from 1 at the palm; 0: not known", Natural: true, Optional: true},
		{Name: "command", Meaning: "closing command at the touch, 0 to 1", Natural: true, Optional: true},
		{Name: "place_mm", Meaning: "where on the link, from its root", Natural: true, Optional: true},
		{Name: "direction_deg", Meaning: "in which the item lies from the pad, from the palm's x towards its y", Optional: true},
		{Name: "move_x_mm", Meaning: "how far the palm was guided along its x"},
		{Name: "move_y_mm", Meaning: "how far the palm was guided along its y"},
		{Name: "turn_deg", Meaning: "by how much it was then turned about its z", Optional: true},
		{Name: "outcome", Meaning: "how the trial ended", Text: true, Words: words},
	}
}

// ReadGuided reads trials in which a person guided the hand, CSV with the columns that docs/formats.md names. Every fault names
// its row (the header is row 1) and column; nothing is returned with an error.
func ReadGuided(in io.Reader) (*Guided, error) {
	t, err := readings.Read(in, guidedColumns())
	if err != nil {
		return nil, err
	}
	g := &Guided{Trials: make([]GuidedTrial, t.Rows)}
	_, g.HasCommand = t.Numbers["command"]
	_, g.HasPlace = t.Numbers["place_mm"]
	_, g.HasDirection = t.Numbers["direction_deg"]
	var wrong readings.Faults
	number := func(row int, name string, most float64) float64 {
		list := t.Numbers[name]
		if list == nil {
			return 0
		}
		if math.Abs(list[row]) > most {
			wrong.Add(row+2, name, "must not be more than %g (got %g)", most, list[row])
		}
		return list[row]
	}
	counted := func(row int, name string, most float64) int {
		x := number(row, name, most)
		if x != math.Trunc(x) {
			wrong.Add(row+2, name, "must be a whole number (got %g)", x)
		}
		return int(math.Min(x, most))
	}
	for i := range g.Trials {
		g.Trials[i] = GuidedTrial{
			Finger: counted(i, "finger", mostCounted) - 1, Link: counted(i, "link", mostCounted) - 1, Command: number(i, "command", 1),
			Place: number(i, "place_mm", mostPlaceMM) / 1e3, Direction: number(i, "direction_deg", mostDirectionDeg) * math.Pi / 180,
			Move: guide.Move{
				guide.MoveX: number(i, "move_x_mm", mostGuidedMM) / 1e3, guide.MoveY: number(i, "move_y_mm", mostGuidedMM) / 1e3,
				guide.Turn: number(i, "turn_deg", mostGuidedDeg) * math.Pi / 180,
			},
			Outcome: domain.Outcome(t.Texts["outcome"][i]),
		}
		if g.Trials[i].Finger < 0 && g.Trials[i].Link >= 0 {
			wrong.Add(i+2, "link", "must be 0 where the palm was touched: it has no links (got %d)", g.Trials[i].Link+1)
		}
	}
	if err := wrong.Err(); err != nil {
		return nil, err
	}
	return g, nil
}

// Check says which rows name a finger or link that the hand does not have.
func (g *Guided) Check(h *trialsim.Hand) error {
	var wrong readings.Faults
	for i, t := range g.Trials {
		switch {
		case t.Finger >= len(h.Fingers):
			wrong.Add(i+2, "finger", "the hand has %d fingers (got %d)", len(h.Fingers), t.Finger+1)
		case t.Finger >= 0 && t.Link >= h.Fingers[t.Finger].Chain.Joints():
			wrong.Add(i+2, "link", "finger %d has %d links (got %d)", t.Finger+1, h.Fingers[t.Finger].Chain.Joints(), t.Link+1)
		}
	}
	return wrong.Err()
}

// WriteGuided writes the table as [ReadGuided] reads it.
func WriteGuided(out io.Writer, g *Guided) error {
	var b strings.Builder
	b.WriteString("finger,link,command,place_mm,direction_deg,move_x_mm,move_y_mm,turn_deg,outcome\n")
	for _, t := range g.Trials {
		fmt.Fprintf(&b, "%d,%d", t.Finger+1, t.Link+1)
		for _, x := range []float64{t.Command, 1e3 * t.Place, t.Direction * 180 / math.Pi, 1e3 * t.Move[guide.MoveX], 1e3 * t.Move[guide.MoveY], t.Move[guide.Turn] * 180 / math.Pi} {
			b.WriteString("," + readings.Number(round(x, 1e-6)))
		}
		b.WriteString("," + string(t.Outcome) + "\n")
	}
	_, err := io.WriteString(out, b.String())
	return err
}
