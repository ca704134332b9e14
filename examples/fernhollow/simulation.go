package fernhollow

import (
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/examples"
	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/scenes"
)

// attempt is what a trial of the demonstration is asked to do. Source, a study or a proof run, and Number name it.
type attempt struct {
	source    domain.ID
	number    int
	condition domain.Condition
	rotation  orient.Rotation
	closing   float64    // 0…1
	offset    [3]float64 // m, in the setting frame
}

// shown is what a simulated trial shows.
type shown struct {
	outcome      domain.Outcome
	reason       string
	peakForce    float64 // N
	peakPressure float64 // Pa
	duration     float64 // s
}

// simulator carries trials out by mechanics, with the files that ship. Trials do not depend on those before.
type simulator struct {
	benches map[domain.Condition]*trialsim.Bench
}

// try simulates a trial. One that the planner finds impossible has the outcome void and says why.
func (s *simulator) try(a *attempt) (shown, error) {
	bench := s.benches[a.condition]
	if bench == nil {
		scene, err := scenes.ReadCondition(examples.Scenes(), SceneNames, a.condition)
		if err != nil {
			return shown{}, err
		}
		if bench, err = trialsim.NewBench(scene, 0); err != nil {
			return shown{}, fmt.Errorf("%s, %s, %s, %s: %w", a.condition.Hand, a.condition.Item, a.condition.Setting, a.condition.Strategy, err)
		}
		if s.benches == nil {
			s.benches = map[domain.Condition]*trialsim.Bench{}
		}
		s.benches[a.condition] = bench
	}
	r, err := bench.Run(trialsim.Attempt{
		Orientation: a.rotation, Closing: a.closing, Seed: numeric.Stream(Seed, "fernhollow items of "+string(a.source)).Uint64(), Number: a.number,
		Offset: [2]float64{a.offset[0], a.offset[1]},
	}, nil)
	if err != nil {
		return shown{}, fmt.Errorf("%s, trial %d: %w", a.source, a.number, err)
	}
	// Rounded as the record writes it, so that a trial read is the trial simulated.
	return shown{
		outcome: domain.Outcome(r.Outcome), reason: r.Reason,
		peakForce: rounded(r.PeakForce, 1e-3), peakPressure: rounded(r.PeakPressure, 10), duration: rounded(r.Seconds, 1e-3),
	}, nil
}

func rounded(x, step float64) float64 { return math.Round(x/step) * step }

// lateCrack says whether a later look finds an item damaged that came through its trial whole. No simulation knows this: it is a
// rule made up on top. From six tenths of the pressure that breaks the item at once (limit, Pa) its chance grows from nothing to
// one half at that pressure. u is drawn evenly from 0 to 1.
func lateCrack(peakPressure, limit, u float64) bool {
	return limit > 0 && u < 0.5*math.Min(1, math.Max(0, (peakPressure/limit-0.6)/0.4))
}

// limits returns the pressure (Pa) that breaks each item at once, from its file.
func limits() (map[domain.ID]float64, error) {
	most := map[domain.ID]float64{}
	for _, it := range Items() {
		file, err := scenes.ReadItem(examples.Scenes(), "items/"+string(it.ID)+".yaml")
		if err != nil {
			return nil, err
		}
		most[it.ID] = file.DamagePressure
	}
	return most, nil
}
