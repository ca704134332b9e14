package main

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"time"

	"holdfast/bench/measure"
	"holdfast/signals/touch"
	"holdfast/signals/touch/finger"
	"holdfast/signals/touch/listen"
)

// mostLatencyMs is the bar for an answer, from the last sample of a touch's clip, on one core.
const mostLatencyMs = 5

// latency measures how long a stream's touches take to be answered, by models of a usual and of the largest size, and how many
// times faster than they come samples are looked at.
func latency(bars *measure.Bars) error {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, n := range []int{300, touch.MaxGaussian} {
		m, s, err := latencyModel(n)
		if err != nil {
			return err
		}
		l, err := listen.New(m, listen.RuleFor(m))
		if err != nil {
			return err
		}
		const touches, apart, block = 100, 24000, 480
		stream := make([]float64, (touches+1)*apart)
		for k := range touches {
			for i, v := range s.Touch(25+55*float64(k)/touches, 0.05, 4, k) {
				stream[(k+1)*apart+i] = 0.05 * v
			}
		}
		for i := range stream {
			stream[i] += 1e-5 * float64(i*7919%13-6)
		}
		var answers []float64
		var quiet time.Duration
		for at := 0; at < len(stream); at += block {
			came, before := time.Now(), len(answers)
			if err := l.Feed(stream[at:at+block], func(listen.Touch) { answers = append(answers, 1000*time.Since(came).Seconds()) }); err != nil {
				return err
			}
			if len(answers) == before {
				quiet += time.Since(came)
			}
		}
		if len(answers) < touches-1 {
			return fmt.Errorf("%d of %d touches were answered", len(answers), touches)
		}
		slices.Sort(answers)
		fmt.Printf("\nlive, %d clips trained on, one core: %d touches, median %.2f ms; blocks without one %.0f times faster than they come\n",
			n, len(answers), answers[len(answers)/2], float64(len(stream))/48000/quiet.Seconds())
		bars.AtMost(fmt.Sprintf("answer, 19 of 20, %d clips, ms", n), answers[len(answers)*19/20], mostLatencyMs)
	}
	return nil
}

// latencyModel learns six zones and positions from n clips of one invented finger.
func latencyModel(n int) (*touch.Model, *finger.Specimen, error) {
	s, r := finger.Specimens(1, 1)[0], recipe()
	e, err := touch.NewExtractor(r)
	if err != nil {
		return nil, nil, err
	}
	d := touch.Labelled{X: touch.NewMatrix(n, e.Count()), Zones: []string{"1", "2", "3", "4", "5", "6"}}
	for i := range n {
		at := 22 + 63*(float64(i)+0.5)/float64(n)
		if err := e.Extract(d.X.Row(i), s.Touch(at, 0.05, 3, i)); err != nil {
			return nil, nil, err
		}
		d.Zone, d.PositionMm = append(d.Zone, 6*i/n), append(d.PositionMm, at)
		d.Session, d.Specimen = append(d.Session, fmt.Sprint(i%2)), append(d.Specimen, "one")
	}
	plan := touch.DefaultPlan()
	plan.Folds, plan.Methods = 2, touch.Candidates[5:] // support vectors, the slowest to answer
	m, _, err := touch.Train(context.Background(), r, d, plan)
	if err != nil {
		return nil, nil, err
	}
	m.SetSamples([]int{s.Samples})
	return m, s, nil
}
