package listen

import (
	"fmt"

	"holdfast/signals/sound"
)

// Rule says what counts as a touch in a stream and what is cut out for it. Counts are in samples.
//
// A touch begins where the mean square of the last Short samples first exceeds Threshold times that of the last Long ones
// ([holdfast/signals.PowerRatios]); its onset is then placed within Before samples before and Short after that place
// ([holdfast/signals.OnsetByAIC]). This is the rule of single clips, so a stream needs Long samples of quiet first.
type Rule struct {
	RateHz    int
	Short     int     // of the mean that follows a touch
	Long      int     // of the mean that follows the background
	Threshold float64 // of the ratio of both
	Quietest  float64 // root mean square of Short samples under which nothing is a touch; full scale is 1
	Before    int     // looked at for the onset, before the threshold was passed
	Lead      int     // kept before the onset
	Length    int     // of what is cut out, Lead included
	Apart     int     // least distance of two touches; a second one that comes sooner is only marked
}

// DefaultRule returns the rule for a sampling rate and a clip's length in samples: 1 ms against 40 ms, eight to one, nothing
// under −80 dB of full scale, touches at least 150 ms and a clip's length apart. The figures are our choice, tried on
// invented fingers: common practice, no source.
func DefaultRule(rateHz, length int) Rule {
	ms := func(t float64) int { return max(1, int(t*float64(rateHz)/1000)) }
	return Rule{
		RateHz: rateHz, Short: max(8, ms(1)), Long: ms(40), Threshold: 8, Quietest: 1e-4, Before: ms(20), Length: length,
		Apart: max(ms(150), length),
	}
}

// longest bounds what is kept of a stream, in samples: 21 s at 48 kHz.
const longest = 1 << 20

func (r Rule) check() error {
	switch {
	case r.RateHz < sound.MinRateHz || r.RateHz > sound.MaxRateHz:
		return fmt.Errorf("a sampling rate of %d Hz is not between %d and %d Hz; set the sound card or rig to one in between", r.RateHz, sound.MinRateHz, sound.MaxRateHz)
	case r.Short < 4 || r.Long <= r.Short || r.Long > longest || r.Before < 0 || r.Before > longest:
		return fmt.Errorf("means over %d and %d samples, onset looked for %d samples back: not possible", r.Short, r.Long, r.Before)
	case !(r.Threshold > 1) || r.Threshold >= float64(r.Long)/float64(r.Short):
		return fmt.Errorf("a threshold of %g is never passed or always: it must lie between 1 and %.3g", r.Threshold, float64(r.Long)/float64(r.Short))
	case !(r.Quietest >= 0):
		return fmt.Errorf("a least level of %g is not possible: 0 or more, full scale is 1", r.Quietest)
	case r.Lead < 0 || r.Length <= r.Lead+r.Short || r.Length > longest || r.Apart < r.Length-r.Lead:
		return fmt.Errorf("clips of %d samples, %d of them before the onset, touches %d apart: not possible", r.Length, r.Lead, r.Apart)
	}
	return nil
}
