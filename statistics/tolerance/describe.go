package tolerance

import (
	"fmt"
	"math"
	"strings"
)

// Answer is what a surface comes to, in figures and words.
type Answer struct {
	Stated       Value
	Scale        Limit // largest multiple of the stated errors
	PositionOnly Limit // m, at the stated orientation error
	AngleOnly    Limit // rad, at the stated position error
	Tolerated    bool  // the stated errors are surely tolerated
	Sentence     string
	Notes        []string
}

// Answer sums the surface up for people, in mm and degrees.
func (s *Surface) Answer() Answer {
	a := Answer{Stated: s.Stated(), Scale: s.LargestScale(), PositionOnly: s.LargestPosition(s.q.Stated.Angle), AngleOnly: s.LargestAngle(s.q.Stated.Spread())}
	a.Tolerated = a.Stated.sure >= s.q.Target
	a.Sentence = a.describe(s.q)
	a.Notes = a.notes(s)
	return a
}

func mm(x float64) string      { return fmt.Sprintf("%.2g mm", x*1e3) }
func degrees(x float64) string { return fmt.Sprintf("%.2g°", x*180/math.Pi) }

func both(position, angle float64) string {
	switch {
	case position == 0 && angle == 0:
		return "no error at all"
	case position == 0:
		return degrees(angle)
	case angle == 0:
		return mm(position)
	}
	return mm(position) + " and " + degrees(angle)
}

func (a Answer) describe(q Question) string {
	stated := both(q.Stated.Spread(), q.Stated.Angle)
	success := fmt.Sprintf("success is %.2f (%.2f–%.2f)", a.Stated.P, a.Stated.Low, a.Stated.High)
	if !a.Tolerated {
		text := fmt.Sprintf("With %s, %s: not surely the target of %.2g (probability %.0f %%).", stated, success, q.Target, 100*a.Stated.Reaches)
		switch {
		case a.Stated.sureAll >= q.Target:
			return text + " By the model alone it would be, but part of the errors lead where nothing was tried."
		case a.Scale.Largest > 0 && q.Stated.Spread()+q.Stated.Angle > 0:
			return text + fmt.Sprintf(" It would be with %s: fixtures or sensing must bring the errors to %.0f %% of that.", both(a.Scale.Largest*q.Stated.Spread(), a.Scale.Largest*q.Stated.Angle), 100*a.Scale.Largest)
		}
		return text + " Even without any error it is not: choose another orientation or strategy, or run more trials here."
	}
	if q.Stated.Spread() == 0 && q.Stated.Angle == 0 {
		return fmt.Sprintf("Without any error, %s. Alone, %s of placement or %s of orientation are surely tolerated at a target of %.2g.", success, mm(a.PositionOnly.Largest), degrees(a.AngleOnly.Largest), q.Target)
	}
	return fmt.Sprintf("No fixture is needed up to %s: success stays at %.2g or more with %.0f %% probability. With the stated %s, %s.",
		both(a.Scale.Largest*q.Stated.Spread(), a.Scale.Largest*q.Stated.Angle), q.Target, 100*q.Sure, stated, success)
}

func (a Answer) notes(s *Surface) []string {
	var list []string
	q := s.q
	if q.Stated.Spread() > 0 || q.Stated.Angle > 0 {
		var alone []string
		if a.PositionOnly.Reason != AtNone {
			alone = append(alone, fmt.Sprintf("placement may err by %s%s at %s of orientation", mm(a.PositionOnly.Largest), more(a.PositionOnly), degrees(q.Stated.Angle)))
		}
		if a.AngleOnly.Reason != AtNone {
			alone = append(alone, fmt.Sprintf("orientation may err by %s%s at %s of placement", degrees(a.AngleOnly.Largest), more(a.AngleOnly), mm(q.Stated.Spread())))
		}
		if len(alone) > 0 {
			list = append(list, "One at a time: "+strings.Join(alone, "; ")+".")
		}
	}
	byTrials := a.PositionOnly.Reason == ByTrials
	if byTrials {
		list = append(list, "Placement ends where the trials’ own offsets end, not where the hand fails: try larger offsets to learn how far it goes.")
	}
	if a.AngleOnly.Reason == ByTrials {
		list = append(list, fmt.Sprintf("Orientation ends where no trial is within %s, not where the hand fails: try orientations farther out to learn how far it goes.", degrees(q.Tried.Reach())))
	}
	if a.Stated.Untried > 0.005 {
		list = append(list, fmt.Sprintf("%.0f %% of the stated errors lead to poses that no trial is near; they count as failures in what is called sure.", 100*a.Stated.Untried))
	}
	return list
}

func more(l Limit) string {
	if l.Reason == ByRange {
		return " or more"
	}
	return ""
}
