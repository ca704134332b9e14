package listen

import (
	"bytes"
	"encoding/binary"
	"math"
	"slices"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"holdfast/signals/sound"
)

// Raw samples are those of a WAV file with the same bytes, in whatever pieces they come.
func TestDecoderReadsWhatWAVFilesHold(t *testing.T) {
	for format, coding := range map[string]sound.Coding{S16: {Bits: 16}, S24: {Bits: 24}, S32: {Bits: 32}, F32: {Bits: 32, Float: true}} {
		x := [][]float64{hissOf(300, 0.2, 4), hissOf(300, 0.1, 5)}
		var file bytes.Buffer
		if err := sound.Write(&file, &sound.Recording{RateHz: rate, Channels: x}, coding); err != nil {
			t.Fatal(err)
		}
		raw := file.Bytes()[44:]
		want, err := sound.Read(bytes.NewReader(file.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		rapid.Check(t, func(r *rapid.T) {
			d, err := NewDecoder(format, 2, 2)
			if err != nil {
				r.Fatal(err)
			}
			var got []float64
			for rest := raw; len(rest) > 0; {
				n := min(rapid.IntRange(1, 50).Draw(r, "piece"), len(rest))
				if got, err = d.Decode(got, rest[:n]); err != nil {
					r.Fatal(err)
				}
				rest = rest[n:]
			}
			if !slices.Equal(got, want.Channels[1]) || d.Rest() != 0 {
				r.Fatalf("%s: other samples", format)
			}
		})
	}
}

func TestDecoderRefuses(t *testing.T) {
	for _, c := range []struct {
		format            string
		channels, channel int
	}{{"u8", 1, 1}, {S16, 0, 1}, {S16, 65, 1}, {S16, 2, 3}, {S16, 2, 0}} {
		if _, err := NewDecoder(c.format, c.channels, c.channel); err == nil {
			t.Errorf("taken: %+v", c)
		}
	}
	for _, v := range []float32{float32(math.NaN()), float32(math.Inf(-1)), 2000} {
		d, err := NewDecoder(F32, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		p := binary.LittleEndian.AppendUint32(make([]byte, 4), math.Float32bits(v))
		if got, err := d.Decode(nil, p); err == nil || len(got) != 1 {
			t.Errorf("%g is taken as a sample", v)
		}
	}
}

// Whatever bytes come, in whatever pieces, decoder and cutter neither panic nor hand out what is no number.
func FuzzDecoder(f *testing.F) {
	f.Add([]byte{0, 128, 255, 127, 1, 2, 3}, uint8(0), uint8(1), uint8(3))
	f.Add([]byte{0, 0, 192, 127, 0, 0, 128, 63}, uint8(3), uint8(1), uint8(5))
	f.Add(bytes.Repeat([]byte{7, 250, 9}, 90), uint8(1), uint8(2), uint8(7))
	f.Fuzz(func(t *testing.T, p []byte, format, channels, piece uint8) {
		d, err := NewDecoder(Formats[int(format)%len(Formats)], 1+int(channels)%8, 1)
		if err != nil {
			t.Fatal(err)
		}
		c, err := NewCutter(Rule{RateHz: 8000, Short: 4, Long: 16, Threshold: 2, Before: 8, Lead: 3, Length: 24, Apart: 40})
		if err != nil {
			t.Fatal(err)
		}
		clip := func(c Cut) {
			if len(c.Clip) > 24 || c.Onset < 0 || c.Start > c.Onset {
				t.Fatalf("cut from %d, onset %d, %d samples", c.Start, c.Onset, len(c.Clip))
			}
		}
		var samples []float64
		for len(p) > 0 {
			n := min(1+int(piece), len(p))
			if samples, err = d.Decode(samples[:0], p[:n]); err == nil {
				if err := c.Feed(samples, clip); err != nil {
					t.Fatalf("the decoder handed out what the cutter refuses: %v", err)
				}
			}
			p = p[n:]
		}
		c.End(clip)
	})
}

// Nothing is hidden: what is taken and what is lost add up to what was put, in order.
func TestQueueCountsWhatIsLost(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		q := NewQueue(50)
		next, expect := 0, 0
		var buffer []float64
		take := func() {
			samples, lost, _, ok := q.Take(buffer)
			buffer = samples
			if !ok {
				r.Fatal("closed")
			}
			for _, v := range samples {
				if int(v) != expect {
					r.Fatalf("sample %g comes where %d was due", v, expect)
				}
				expect++
			}
			expect += int(lost)
		}
		for range rapid.IntRange(1, 40).Draw(r, "steps") {
			if rapid.Bool().Draw(r, "put") {
				block := make([]float64, rapid.IntRange(1, 40).Draw(r, "block"))
				for i := range block {
					block[i] = float64(next)
					next++
				}
				q.Put(block, 0)
			} else if q.waiting() > 0 {
				take()
			}
		}
		for q.waiting() > 0 {
			take()
		}
		q.Close()
		if _, _, _, ok := q.Take(nil); ok || expect != next || q.Put([]float64{1}, 0) != 1 {
			r.Fatalf("%d samples of %d are accounted for", expect, next)
		}
	})
}

func TestQueueBetweenTwo(t *testing.T) {
	q := NewQueue(1 << 20)
	var wait sync.WaitGroup
	wait.Go(func() {
		for range 100 {
			q.Put(make([]float64, 480), 0)
		}
		q.Close()
	})
	n := 0
	for {
		samples, lost, _, ok := q.Take(nil)
		if !ok {
			break
		}
		n += len(samples) + int(lost)
	}
	wait.Wait()
	if n != 48000 || q.Lost() != 0 {
		t.Errorf("%d samples, %d lost", n, q.Lost())
	}
}

// waiting returns how many parts can be taken.
func (q *Queue) waiting() int {
	q.lock.Lock()
	defer q.lock.Unlock()
	return len(q.parts)
}
