package fernhollow

import (
	"bytes"
	"context"
	"fmt"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/signals/sound"
	"holdfast/signals/touch/finger"
	"holdfast/workflow"
)

// TouchedHand is the hand whose invented clips of touches [Fill] keeps.
const TouchedHand = AirHand

// So many clips, of places (mm) along the fingers of so many pieces in so many sessions each, in so many zones.
const (
	touchClips, touchPieces, touchSessions = 216, 3, 2
	touchLowMm, touchWidthMm               = 22.0, 63.0
	touchNoise                             = 0.05
)

// touchPressuresKPa in the fingers, and what touches them, by [finger.Objects].
var (
	touchPressuresKPa = []float64{0, 40}
	touchObjects      = []string{"roll skin", "crust", "egg shell"}
)

var touchZones = []string{"root", "lower", "middle", "upper", "pad", "tip"}

// fillTouch keeps clips of invented fingers, computed from beam and tube, and a model learnt from them.
func fillTouch(ctx context.Context, lab *workflow.Lab) error {
	pieces := finger.Specimens(touchPieces, Seed)
	list, snr := make([]workflow.TouchSound, touchClips), finger.SNRDB(touchNoise)
	for n := range list {
		share := numeric.Stream(Seed, "touched place", n).Float64()
		piece, session, at := n%touchPieces, n/touchPieces%touchSessions, touchLowMm+touchWidthMm*share
		// In turn, one within the other, so that each finger and day has all objects and pressures.
		turn := n / (touchPieces * touchSessions)
		object, kPa := turn%len(touchObjects), touchPressuresKPa[turn/len(touchObjects)%len(touchPressuresKPa)]
		p := pieces[piece].At(1000 * kPa).TouchedBy(finger.Objects[object])
		clip := p.Touch(at, touchNoise, Seed, n)
		top := 0.0
		for _, v := range clip {
			top = max(top, v, -v)
		}
		for i := range clip {
			clip[i] *= 0.25 / top
		}
		var wav bytes.Buffer
		if err := sound.Write(&wav, &sound.Recording{RateHz: p.RateHz, Channels: [][]float64{clip}}, sound.Coding{Bits: 16}); err != nil {
			return err
		}
		list[n] = workflow.TouchSound{Name: fmt.Sprintf("touch-%03d.wav", n+1), WAV: wav.Bytes(), TouchClip: domain.TouchClip{
			Hand: TouchedHand, Key: fmt.Sprintf("demo-%03d", n+1), Session: fmt.Sprintf("day %d", session+1), Specimen: fmt.Sprintf("finger %d", piece+1),
			Object: touchObjects[object], PressureKPa: &kPa, SNRDB: &snr, Note: "Invented: computed from beam and tube, no finger was recorded.", Invented: true,
			Label: domain.TouchLabel{Zone: touchZones[int(share*float64(len(touchZones)))], PositionMm: &at, By: "demonstration"},
		}}
	}
	if _, _, err := lab.KeepTouchClips(ctx, list); err != nil {
		return err
	}
	_, err := lab.TrainTouch(ctx, TouchedHand, Seed, nil)
	return err
}
