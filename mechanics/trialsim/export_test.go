package trialsim

// What tests from outside compare with the scene that is measured beside a physics engine.
var (
	ThreeFingers = threeFingers
	PeerPath     = func(tilt, azimuth, roll float64) Path { return peerPath(tilt, azimuth, roll) }
)
