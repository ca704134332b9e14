package benchfit

import (
	"fmt"
	"math"
	"strconv"
)

// Remarks says line by line what of the described hand was changed, from what to what, and by which readings: the head of the file
// that the fitted hand is written to.
func (r *Result) Remarks() []string {
	lines := []string{
		"Brought to bench records of " + fingerWords(r.Finger) + fmt.Sprintf(". Limits hold %g %%.", 100*r.Level),
		"Changed, on every finger:",
	}
	var left []string
	for _, q := range r.Quantities {
		if q.Placed {
			lines = append(lines, "  "+q.words())
		} else {
			left = append(left, "  "+q.words())
		}
	}
	if left != nil {
		lines = append(append(lines, "Measured, and not changed:"), left...)
	}
	if r.Unknowns != nil {
		lines = append(lines, "Not told by these readings, so as described:")
		for _, u := range r.Unknowns {
			lines = append(lines, "  "+u.Name+"; "+u.Why)
		}
	}
	lines = append(lines, "Readings:")
	for i := range r.Curves {
		c := &r.Curves[i]
		_, y, _, per := c.Kind.Edge()
		was, now := c.Misfit()
		lines = append(lines, fmt.Sprintf("  %s: %d, misfit %s before and %s after (root mean square, %s)", c.label(), len(c.X), digits(per*was), digits(per*now), y))
	}
	lines = append(lines, r.Notes...)
	return append(lines, "A simulated hand is no proof of a real one: what it predicts is tried at reduced speed and force first.")
}

func fingerWords(name string) string {
	if name == "" {
		return "a finger"
	}
	return "finger " + name
}

func (q *Quantity) words() string {
	was := "from " + digits(q.Described) + " to "
	if math.IsNaN(q.Described) {
		was = ""
	}
	unit := q.Unit
	if unit != "" {
		unit = " " + unit
	}
	limits := "no limits: too few readings"
	if !math.IsNaN(q.Low) && !math.IsNaN(q.High) {
		limits = digits(q.Low) + " to " + digits(q.High)
	}
	return q.Name + ": " + was + digits(q.Fitted) + unit + " (" + limits + ")"
}

func digits(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
