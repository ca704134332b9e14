package main

// touchCommand groups what is done with sensors of touch.
type touchCommand struct {
	Train   touchTrainCommand   `cmd:"" help:"Learn from labelled clips of sound where a finger is touched, and say how well that holds on other fingers and days."`
	Predict touchPredictCommand `cmd:"" help:"Say where a finger was touched in clips of sound, by a model that was trained."`
}
