package benchfit

import (
	"math"
	"sync"

	"holdfast/mechanics/hand"
)

// A held tip's force is asked for thousands of times while numbers are fitted, each by an elastica of its own; between steps of the
// angle (rad) a cubic through four neighbours stands for it.
const (
	heldStep = 0.1
	heldEnd  = 3.5
)

var heldTable = sync.OnceValue(func() []float64 {
	var t []float64
	for k := 0; k <= int(math.Round(heldEnd/heldStep)); k++ {
		t = append(t, hand.HeldLoad(math.Min(heldEnd, heldStep*float64(k))))
	}
	return t
})

// heldLoad is [hand.HeldLoad], to five digits.
func heldLoad(angle float64) float64 {
	size := math.Abs(angle)
	if !(size <= heldEnd) {
		return math.NaN()
	}
	t := heldTable()
	at := size / heldStep
	k := min(max(int(at)-1, 0), len(t)-4)
	u := at - float64(k)
	y := -t[k]*(u-1)*(u-2)*(u-3)/6 + t[k+1]*u*(u-2)*(u-3)/2 - t[k+2]*u*(u-1)*(u-3)/2 + t[k+3]*u*(u-1)*(u-2)/6
	return math.Copysign(y, angle)
}
