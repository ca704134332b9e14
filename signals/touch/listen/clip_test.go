package listen

import "holdfast/signals"

// clipOnset is the rule for a clip, by the functions of signals on the whole of it.
func clipOnset(r Rule, x []float64) int64 {
	passed := signals.OnsetByAverages(x, r.Short, r.Long, r.Threshold)
	for passed >= 0 && signals.RootMeanSquare(x[passed+1-r.Short:passed+1]) <= r.Quietest {
		panic("too quiet for this test")
	}
	first := max(0, passed-r.Before)
	k, _ := signals.OnsetByAIC(x[first : passed+r.Short])
	return int64(first + k)
}
