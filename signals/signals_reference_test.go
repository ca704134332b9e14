//go:build reference

package signals

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"
)

const scipySignals = `
import json, sys, numpy as np
from scipy import signal, fft
x = np.array(json.load(sys.stdin))
out = {}
for name, sos in (("low5", signal.butter(5, 90, fs=1000, output="sos")), ("high4", signal.butter(4, 120, "high", fs=1000, output="sos")),
                  ("band3", signal.butter(3, [60, 180], "band", fs=1000, output="sos"))):
    out[name] = list(signal.sosfilt(sos, x))
    out[name + " both"] = list(signal.sosfiltfilt(sos, x))
out["smooth"] = list(signal.savgol_filter(x, 11, 3))
out["curvature"] = list(signal.savgol_filter(x, 9, 4, deriv=2))
for w, k in (("hann", 100), ("hamming", 128), ("blackman", 75), ("boxcar", 64)):
    out["welch " + w] = list(signal.welch(x, 1000, w, k, k // 3)[1])
# Mean squares of tones there, squares of their amplitudes here.
sxx = signal.spectrogram(x, 1000, "hann", 64, 48, detrend=False, scaling="spectrum")[2]
sxx[1:-1] *= 2
out["spectrogram"] = list(sxx.T.ravel())
out["power"] = list(np.abs(np.fft.rfft(x)) ** 2)
out["cosine"] = list(fft.dct(x[:40], norm="ortho")[:13])
json.dump(out, sys.stdout)
`

func TestAgainstScipySignal(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	p := parkMiller(9)
	x := p.take(600)
	asked, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command(python, "-c", scipySignals)
	run.Stdin = strings.NewReader(string(asked))
	answered, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want map[string][]float64
	if err := json.Unmarshal(answered, &want); err != nil {
		t.Fatal(err)
	}
	got := map[string][]float64{}
	for name, make := range map[string]func() (Cascade, error){
		"low5":  func() (Cascade, error) { return LowPass(5, 90, 1000) },
		"high4": func() (Cascade, error) { return HighPass(4, 120, 1000) },
		"band3": func() (Cascade, error) { return BandPass(3, 60, 180, 1000) },
	} {
		c, err := make()
		if err != nil {
			t.Fatal(err)
		}
		got[name] = c.Apply(x)
		if got[name+" both"], err = c.ForwardBackward(x); err != nil {
			t.Fatal(err)
		}
	}
	if got["smooth"], err = Smooth(x, 11, 3, 0); err != nil {
		t.Fatal(err)
	}
	if got["curvature"], err = Smooth(x, 9, 4, 2); err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]Segments{"hann": {1000, 100, 33, Hann}, "hamming": {1000, 128, 42, Hamming}, "blackman": {1000, 75, 25, Blackman}, "boxcar": {1000, 64, 21, Rectangle}} {
		if got["welch "+name], err = PowerDensity(x, s); err != nil {
			t.Fatal(err)
		}
	}
	over, err := Spectrogram(x, Segments{1000, 64, 48, Hann})
	if err != nil {
		t.Fatal(err)
	}
	for _, spectrum := range over {
		got["spectrogram"] = append(got["spectrogram"], spectrum...)
	}
	tr, err := NewTransform(len(x))
	if err != nil {
		t.Fatal(err)
	}
	got["power"] = make([]float64, tr.Bins())
	tr.Power(got["power"], x)
	c, err := NewCosine(40, 13)
	if err != nil {
		t.Fatal(err)
	}
	got["cosine"] = make([]float64, 13)
	c.Apply(got["cosine"], x[:40])
	for name, w := range want {
		if len(got[name]) != len(w) {
			t.Errorf("%s: %d numbers, want %d", name, len(got[name]), len(w))
			continue
		}
		top := 0.0
		for _, v := range w {
			top = max(top, math.Abs(v))
		}
		for i, v := range w {
			// The detrended zero bin is rounding noise on both sides, hence a tolerance of the largest value.
			if math.Abs(got[name][i]-v) > 1e-10*top {
				t.Errorf("%s[%d]: %.14g, want %.14g", name, i, got[name][i], v)
				break
			}
		}
	}
}
