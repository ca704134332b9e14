package trialsim_test

import (
	"reflect"
	"testing"

	"holdfast/bench/peerscene"
	"holdfast/mechanics/trialsim"
)

// The scene that the bench and the cross-check with a physics engine take is the one of the tests here.
func TestPeerSceneIsTheOneOfTheTests(t *testing.T) {
	scene, err := peerscene.Peer().Scene(peerscene.Surface())
	if err != nil {
		t.Fatal(err)
	}
	if want := trialsim.ThreeFingers(t); !reflect.DeepEqual(scene, want) {
		t.Errorf("%+v, want %+v", scene, want)
	}
	for _, p := range peerscene.Poses(3, 20) {
		got, want := peerscene.Peer().Attempt(p), trialsim.PeerPath(p.Tilt, p.Azimuth, p.Roll)
		for s := range 18 {
			if a, b := got.At(float64(s)/10), want.At(float64(s)/10); a.Place.Add(b.Place.Scale(-1)).Norm() > 1e-15 || a.Turn != b.Turn || a.Command != b.Command {
				t.Fatalf("%+v at %d/10 s: %+v, want %+v", p, s, a, b)
			}
		}
	}
}

// The mix of tilts that `go run ./bench/simulate` measures, for a profile.
func BenchmarkPicksOfAllTilts(b *testing.B) {
	scene, err := peerscene.Peer().Scene(peerscene.Surface())
	if err != nil {
		b.Fatal(err)
	}
	stage, poses := trialsim.NewStage(scene), peerscene.Poses(1, 60)
	for i := 0; b.Loop(); i++ {
		peerscene.Run(stage, peerscene.Peer().Attempt(poses[i%len(poses)]), 1e-3)
	}
}
