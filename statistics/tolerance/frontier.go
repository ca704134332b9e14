package tolerance

import "math"

// Reason says why a tolerance ends where it does.
type Reason string

const (
	// ByTarget: beyond it success no longer surely reaches the target.
	ByTarget Reason = "target"
	// ByTrials: success would still reach the target by the model, but too many poses beyond were never tried.
	ByTrials Reason = "trials"
	// ByRange: it ends where the errors that were looked at end.
	ByRange Reason = "range"
	// AtNone: even without that error the target is not surely reached.
	AtNone Reason = "none"
)

// Limit is the largest error that is surely tolerated.
type Limit struct {
	Largest float64 // m, rad, or a multiple of the stated errors
	Reason  Reason
}

// FrontierPoint is one corner of the tolerated errors.
type FrontierPoint struct {
	Position float64 // m, root mean square over both axes
	Angle    float64 // rad, root mean square
	Reason   Reason  // why the position error ends there
}

// frontierSteps is how many errors are looked at before the crossing is closed in on, so that a dip is not jumped over.
const frontierSteps = 24

// along returns the largest u in [0, 1] up to which every error at(u) is tolerated.
func (s *Surface) along(at func(u float64) Value) (float64, Reason) {
	tolerated := func(u float64) (bool, Value) {
		v := at(u)
		return v.sure >= s.q.Target, v
	}
	ok, v := tolerated(0)
	if !ok {
		if v.sureAll >= s.q.Target {
			return 0, ByTrials
		}
		return 0, AtNone
	}
	low := 0.0
	for i := 1; i <= frontierSteps; i++ {
		u := float64(i) / frontierSteps
		if ok, v = tolerated(u); ok {
			low = u
			continue
		}
		high := u
		for range 20 {
			mid := (low + high) / 2
			if good, w := tolerated(mid); good {
				low = mid
			} else {
				high, v = mid, w
			}
		}
		if v.sureAll >= s.q.Target {
			return low, ByTrials
		}
		return low, ByTarget
	}
	return 1, ByRange
}

// LargestPosition returns the largest position error (m, root mean square over both axes) that is tolerated together
// with the orientation error (rad).
func (s *Surface) LargestPosition(angle float64) Limit {
	c := s.under(angle)
	u, why := s.along(func(u float64) Value { return c.at(u * s.q.MaxPosition) })
	return Limit{u * s.q.MaxPosition, why}
}

// LargestAngle returns the largest orientation error (rad) that is tolerated together with the position error (m).
func (s *Surface) LargestAngle(position float64) Limit {
	u, why := s.along(func(u float64) Value { return s.At(position, u*s.q.MaxAngle) })
	return Limit{u * s.q.MaxAngle, why}
}

// LargestScale returns the largest multiple of the stated errors that is tolerated; +Inf is never returned. Without any
// stated error the multiple is 0 by [ByRange].
func (s *Surface) LargestScale() Limit {
	spread, angle := s.q.Stated.Spread(), s.q.Stated.Angle
	top := math.Inf(1)
	if spread > 0 {
		top = s.q.MaxPosition / spread
	}
	if angle > 0 {
		top = math.Min(top, s.q.MaxAngle/angle)
	}
	if math.IsInf(top, 1) {
		return Limit{0, ByRange}
	}
	u, why := s.along(func(u float64) Value { return s.At(u*top*spread, u*top*angle) })
	return Limit{u * top, why}
}

// Frontier returns the largest tolerated position error at n orientation errors evenly spaced from 0 to the largest;
// it ends at the last that is tolerated at all.
func (s *Surface) Frontier(n int) []FrontierPoint {
	list := []FrontierPoint{}
	for i := range n {
		angle := s.q.MaxAngle * float64(i) / float64(n-1)
		l := s.LargestPosition(angle)
		if l.Reason == AtNone || l.Largest == 0 {
			// Close the line where the angle alone ends it.
			end := s.LargestAngle(0)
			if end.Reason != AtNone && (len(list) == 0 || end.Largest > list[len(list)-1].Angle) {
				list = append(list, FrontierPoint{0, end.Largest, end.Reason})
			}
			break
		}
		list = append(list, FrontierPoint{l.Largest, angle, l.Reason})
	}
	return list
}

// Grid returns the success at positions × angles errors evenly spaced from 0 to the largest looked at: row by row, one
// row an angle.
func (s *Surface) Grid(positions, angles int) []Value {
	list := make([]Value, 0, positions*angles)
	for j := range angles {
		c := s.under(s.q.MaxAngle * float64(j) / float64(angles-1))
		for i := range positions {
			list = append(list, c.at(s.q.MaxPosition*float64(i)/float64(positions-1)))
		}
	}
	return list
}

// Stated returns the success under the stated errors.
func (s *Surface) Stated() Value { return s.At(s.q.Stated.Spread(), s.q.Stated.Angle) }

// Question returns what was asked, with its defaults filled in.
func (s *Surface) Question() Question { return s.q }
