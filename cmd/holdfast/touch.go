package main

// touchCommand groups what is done with sensors of touch.
type touchCommand struct {
	Train   touchTrainCommand   `cmd:"" help:"Learn from labelled clips of sound where a finger is touched, and say how well that holds on other fingers and days."`
	Invent  touchInventCommand  `cmd:"" help:"Write records of sensors that do not exist: labelled clips of sound, or pads, to try the rest without a rig."`
	Import  touchImportCommand  `cmd:"" help:"Keep labelled clips of sound in a lab, all or none, for its page to show, label and learn from."`
	Predict touchPredictCommand `cmd:"" help:"Say where a finger was touched in clips of sound, by a model that was trained."`

	Pads   touchPadsCommand   `cmd:"" help:"Turn the readings of an array of touch pads into contacts over time, with force, place and their errors; name pads that can not be trusted."`
	Listen touchListenCommand `cmd:"" help:"Say where a finger is touched while it is: from a rig that sends samples, or a recording."`

	Calibrate touchCalibrateCommand `cmd:"" help:"Turn a flex or strain signal into curvature or angle: curve, sheet figures, signals read backwards."`
	Shape     touchShapeCommand     `cmd:"" help:"Tell a finger's shape over time from the calibrated strips along it, with a band."`
	Onset     touchOnsetCommand     `cmd:"" help:"Say when something touched, with a threshold from the false alarms that are allowed."`
	Slip      touchSlipCommand      `cmd:"" help:"Say when an item slips, by the shaking of a fingertip, with a threshold from the false alarms that are allowed."`
	Adjust    touchAdjustCommand    `cmd:"" help:"Learn, in simulation or from a person who guided the hand, how the wrist should move by what was touched first, and what that gains."`
}
