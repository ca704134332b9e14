package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"io"
	"math"
	"net"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"holdfast/numeric"
	"holdfast/signals/touch/finger"
)

// knocked is a second of hiss, then a touch at 30 mm and half a second later one at 70 mm of an invented finger.
func knocked() []float64 {
	x := make([]float64, 96000)
	r := numeric.Stream(3, "hiss")
	for i := range x {
		x[i] = 2e-5 * r.NormFloat64()
	}
	s := finger.Specimens(3, 1)[0]
	for k, at := range []float64{30, 70} {
		clip := s.Touch(at, 0.05, 9, k)
		for i, v := range clip {
			x[48000+24000*k+i] += 0.1 / peak(clip) * v
		}
	}
	return x
}

func trainedFile(t *testing.T) string {
	t.Helper()
	dir, model := t.TempDir(), filepath.Join(t.TempDir(), "finger.touch")
	if code, _, stderr := program(t, "touch", "train", "--clips", dir, "--labels", touchedFingers(t, dir), "--out", model, "--method", "discriminant"); code != 0 {
		t.Fatal(stderr)
	}
	return model
}

func heardLines(t *testing.T, out string) (list []heardTouch) {
	t.Helper()
	for line := range strings.Lines(out) {
		var h heardTouch
		if err := json.Unmarshal([]byte(line), &h); err != nil {
			t.Fatalf("%v: %s", err, line)
		}
		list = append(list, h)
	}
	return list
}

func checkHeard(t *testing.T, out string) {
	t.Helper()
	list := heardLines(t, out)
	if len(list) != 2 {
		t.Fatalf("%d touches: %s", len(list), out)
	}
	for k, h := range list {
		if math.Abs(h.Onset-1-0.5*float64(k)) > 0.001 || h.Zone == "" || len(h.Probabilities) != 4 || !(*h.LowMm < *h.PositionMm) || h.LatencyMs < 0 {
			t.Errorf("%+v", h)
		}
	}
	if *list[0].PositionMm > *list[1].PositionMm {
		t.Errorf("30 mm is told at %g mm, 70 mm at %g mm", *list[0].PositionMm, *list[1].PositionMm)
	}
}

func TestTouchListenToARecording(t *testing.T) {
	model := trainedFile(t)
	file := filepath.Join(t.TempDir(), "knocks.wav")
	writeWAV(t, file, knocked(), 48000)
	code, out, told := program(t, "touch", "listen", "--model", model, "--from", file, "--json")
	if code != 0 || !strings.Contains(told, "2 touches in 2.0 s") {
		t.Fatalf("%d %s", code, told)
	}
	checkHeard(t, out)
	if code, out, _ = program(t, "touch", "listen", "--model", model, "--from", file); code != 0 || strings.Count(out, "answered in") != 2 {
		t.Errorf("%d %s", code, out)
	}
	var raw []byte
	for _, v := range knocked() {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(float32(v)))
	}
	var stdout, stderr bytes.Buffer
	m := &Main{environment: environment{ctx: t.Context(), stdin: bytes.NewReader(raw), stdout: &stdout, stderr: &stderr}}
	if code := m.exitCode([]string{"touch", "listen", "--model", model, "--from", "-", "--format", "f32", "--rate-hz", "48000", "--json"}); code != 0 {
		t.Fatal(stderr.String())
	}
	checkHeard(t, stdout.String())
}

// A rig sends samples in odd pieces and gets its answers while the connection stays open.
func TestTouchListenToARig(t *testing.T) {
	model := trainedFile(t)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	out, in := io.Pipe()
	ready, ended := make(chan string, 1), make(chan int, 1)
	var stderr bytes.Buffer
	go func() {
		m := &Main{environment: environment{ctx: ctx, stdout: in, stderr: &stderr, ready: func(a string) { ready <- a }}}
		ended <- m.exitCode([]string{"touch", "listen", "--model", model, "--socket", "127.0.0.1:0", "--rate-hz", "48000", "--channels", "2", "--channel", "2", "--json"})
	}()
	rig, err := net.Dial("tcp", <-ready)
	if err != nil {
		t.Fatal(err)
	}
	defer rig.Close()
	var raw []byte
	for _, v := range knocked() {
		raw = binary.LittleEndian.AppendUint16(append(raw, 1, 2), uint16(int16(v*32767)))
	}
	go func() {
		for len(raw) > 0 {
			n := min(999, len(raw))
			if _, err := rig.Write(raw[:n]); err != nil {
				return
			}
			raw = raw[n:]
		}
	}()
	lines := bufio.NewScanner(out)
	var text strings.Builder
	for range 2 {
		if !lines.Scan() {
			t.Fatal(lines.Err())
		}
		text.WriteString(lines.Text() + "\n")
	}
	checkHeard(t, text.String())
	cancel()
	select {
	case code := <-ended:
		if code != 0 {
			t.Errorf("code %d: %s", code, stderr.String())
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not end when it is asked to stop")
	}
}

func TestTouchListenRefuses(t *testing.T) {
	model := trainedFile(t)
	odd := filepath.Join(t.TempDir(), "slow.wav")
	writeWAV(t, odd, make([]float64, 9000), 16000)
	for want, args := range map[string][]string{
		"give either --from":        {},
		"is refused":                {"--socket", "0.0.0.0:0", "--rate-hz", "48000"},
		"is no address":             {"--socket", "here", "--rate-hz", "48000"},
		"give --rate-hz":            {"--socket", "127.0.0.1:0"},
		"trained at 48000 Hz":       {"--socket", "127.0.0.1:0", "--rate-hz", "44100"},
		"not known":                 {"--from", "-", "--format", "u8", "--rate-hz", "48000"},
		"raw samples: choose":       {"--socket", "127.0.0.1:0", "--format", "wav"},
		"--buffer-s":                {"--from", "-", "--buffer-s", "0"},
		"standard input: byte 0":    {"--from", "-"},
		"sampled at 16000 Hz":       {"--from", odd},
		"--channel asks":            {"--from", odd, "--channel", "2"},
		"there is no such file":     {"--from", odd + "x"},
		"channel 3 of 2 does not":   {"--from", "-", "--format", "s16", "--rate-hz", "48000", "--channels", "2", "--channel", "3"},
		"channels are counted from": {"--from", odd, "--channel", "0"},
	} {
		if code, out, told := program(t, append([]string{"touch", "listen", "--model", model}, args...)...); code != 2 || out != "" || !strings.Contains(told, want) {
			t.Errorf("%v: %d %q %q does not say %q", args, code, out, told, want)
		}
	}
}
