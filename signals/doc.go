// Package signals turns sampled signals of touch, impact and sound into numbers: windows, Fourier transforms, spectra and
// frequency responses, filters, smoothing, mel bands and cepstra, shapes of spectra, decays, resonances and onsets.
//
// The onset pickers here say at which sample of a clip that holds a touch it began; whether anything touched at all, with a stated
// rate of false alarms, is asked of holdfast/signals/detect.
//
// Samples are float64 in any unit; a figure that comes of them has that unit or its square, as its comment says.
// Frequencies are in hertz, times in seconds or samples. Nothing here reads a file, a clock or a random number.
package signals
