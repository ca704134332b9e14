package main

import (
	"fmt"
	"os"
	"runtime"
	"sync"
	"text/tabwriter"

	"holdfast/bench/peerscene"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/trialsim"
)

// stepLengths (s) are those of the table; the last is the one that the others are compared with.
var stepLengths = [...]float64{2e-3, 1e-3, 0.5e-3, 0.25e-3}

// tableOfSteps prints what the length of a step does to who is held and how firmly: outcomes pose by pose, and the mean grip
// over poses that every step holds.
func tableOfSteps(poses int) error {
	soft := peerscene.Surface()
	soft.Stiffness, soft.Damping, soft.Shear = soft.Stiffness/10, soft.Damping/10, soft.Shear/10
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "skin N/mm\tstep ms\theld of %d\tother outcome than at %g ms\tmean grip N\n", poses, 1e3*stepLengths[len(stepLengths)-1])
	for _, skin := range []motion.Surface{peerscene.Surface(), soft} {
		scene, err := peerscene.Peer().Scene(skin)
		if err != nil {
			return err
		}
		results := make([][]peerscene.Result, len(stepLengths))
		for k, h := range stepLengths {
			results[k] = picked(scene, poses, h)
		}
		finest := results[len(results)-1]
		for k, h := range stepLengths {
			held, other, firm, grip := 0, 0, 0, 0.0
			for i, r := range results[k] {
				if r.Height > peerscene.Held {
					held++
				}
				if (r.Height > peerscene.Held) != (finest[i].Height > peerscene.Held) {
					other++
				}
				if everywhere(results, i) {
					firm++
					grip += r.Grip
				}
			}
			fmt.Fprintf(w, "%g\t%g\t%d\t%d\t%.2f\n", skin.Stiffness/1e3, 1e3*h, held, other, grip/float64(max(firm, 1)))
		}
	}
	return w.Flush()
}

func everywhere(results [][]peerscene.Result, pose int) bool {
	for _, r := range results {
		if r[pose].Height <= peerscene.Held {
			return false
		}
	}
	return true
}

// picked runs all poses with steps of h seconds on all cores; who runs which changes nothing.
func picked(scene *trialsim.Scene, poses int, h float64) []peerscene.Result {
	attempts, results := attemptsOf(1, poses), make([]peerscene.Result, poses)
	workers := runtime.GOMAXPROCS(0)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			stage := trialsim.NewStage(scene)
			for i := w; i < poses; i += workers {
				results[i] = peerscene.Run(stage, attempts[i], h)
			}
		})
	}
	wg.Wait()
	return results
}
