package design

import (
	"math"

	"holdfast/domain"
)

// MaxTrials is the largest number of trials that the sample-size functions look at.
const MaxTrials = 1_000_000

// Size is a number of trials that meets a demand. First and FromOn differ where
// the demand is saw-toothed: plan with FromOn when trials may be lost or added,
// with First when exactly that many will count.
type Size struct {
	First     int // smallest number of trials that meets the demand
	FromOn    int // smallest number such that it and all larger ones up to CheckedTo meet it
	CheckedTo int // largest number looked at
}

// scan finds the size by looking at every number of trials in turn from start, up
// to twice the first that does and a margin: teeth shrink like one over the square
// root of the number of trials, and by then the demand is met with room to spare.
func scan(start int, ok func(trials int) bool) (Size, error) {
	first := start
	for ; !ok(first); first++ {
		if first >= MaxTrials {
			return Size{}, tooMany()
		}
	}
	s := Size{First: first, FromOn: first, CheckedTo: min(MaxTrials, 2*first+100)}
	for n := first + 1; n <= s.CheckedTo; n++ {
		if !ok(n) {
			s.FromOn = n + 1
		}
	}
	if s.FromOn > s.CheckedTo {
		return Size{}, tooMany()
	}
	return s, nil
}

// bisect finds the size for a demand that, but for a tooth of a few trials, is
// missed below some number and met above it.
func bisect(ok func(trials int) bool) (Size, error) {
	const tooth = 8
	low, high := 0, 1
	for !ok(high) {
		if high >= MaxTrials {
			return Size{}, tooMany()
		}
		low, high = high, min(2*high, MaxTrials)
	}
	for high-low > 1 {
		if mid := (low + high) / 2; ok(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	s := Size{First: high, FromOn: high, CheckedTo: high + tooth}
	for n := max(1, high-tooth); n < high; n++ {
		if ok(n) {
			s.First = n
			break
		}
	}
	for n := high + 1; n <= s.CheckedTo; n++ {
		if !ok(n) {
			s.FromOn = n + 1
		}
	}
	return s, nil
}

func tooMany() error {
	return domain.Errorf(domain.KindInvalid, "this would need more than %d trials; ask for less: a wider interval, a larger difference, or less confidence", MaxTrials)
}

// inside checks that every value lies strictly between 0 and 1.
func inside(what ...any) error {
	var fields []domain.FieldError
	for i := 0; i+1 < len(what); i += 2 {
		name, value := what[i].(string), what[i+1].(float64)
		if !(value > 0 && value < 1) {
			fields = append(fields, fieldError(name, value, "must lie between 0 and 1, ends excluded"))
		}
	}
	return invalid("this question can not be answered; mend the fields named", fields)
}

func invalid(message string, fields []domain.FieldError) error {
	if len(fields) == 0 {
		return nil
	}
	return &domain.Error{Kind: domain.KindInvalid, Message: message, Fields: fields}
}

// atMost compares a probability with its limit, forgiving rounding: one trial at
// even odds is 50 %, whatever the last bit says.
func atMost(p, limit float64) bool { return p <= limit*(1+1e-10) }

// RoundUp returns the whole number of trials for a real-valued size, forgiving the
// rounding error of a size that is whole by its formula.
func RoundUp(size float64) int { return int(math.Ceil(size - 1e-9)) }
