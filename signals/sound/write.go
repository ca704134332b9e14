package sound

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// Coding is how Write stores samples.
type Coding struct {
	Bits  int  // 16, 24 or 32; 32 with Float
	Float bool // IEEE floating point, which keeps samples beyond full scale
}

// Write writes a recording as a plain WAV file. Whole numbers are rounded to the nearest and held at full scale. A
// recording that Read would refuse is an error, and nothing is written.
func Write(to io.Writer, rec *Recording, c Coding) error {
	frames, channels := rec.Len(), len(rec.Channels)
	width := c.Bits / 8
	size := int64(frames) * int64(channels) * int64(width)
	switch {
	case c.Float && c.Bits != 32, !c.Float && c.Bits != 16 && c.Bits != 24 && c.Bits != 32:
		return fmt.Errorf("samples of %d bits (float: %t) are not written; use 16, 24 or 32, or float of 32", c.Bits, c.Float)
	case channels < 1 || channels > MaxChannels || frames == 0:
		return fmt.Errorf("a recording of %d channels and %d samples is not written", channels, frames)
	case rec.RateHz < MinRateHz || rec.RateHz > MaxRateHz:
		return fmt.Errorf("a sampling rate of %d Hz is not between %d and %d Hz", rec.RateHz, MinRateHz, MaxRateHz)
	case size > math.MaxUint32-64:
		return fmt.Errorf("%d bytes of samples are more than a WAV file holds; cut the recording", size)
	}
	for i, x := range rec.Channels {
		if len(x) != frames {
			return fmt.Errorf("channel %d has %d samples and channel 0 has %d", i, len(x), frames)
		}
		for k, v := range x {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("channel %d, sample %d is no finite number", i, k)
			}
		}
	}
	code := codePCM
	if c.Float {
		code = codeFloat
	}
	w := bufio.NewWriter(to)
	le := binary.LittleEndian
	head := append([]byte("RIFF"), 0, 0, 0, 0)
	le.PutUint32(head[4:], uint32(36+size+size%2))
	head = append(head, "WAVEfmt "...)
	head = le.AppendUint32(head, 16)
	head = le.AppendUint16(head, uint16(code))
	head = le.AppendUint16(head, uint16(channels))
	head = le.AppendUint32(head, uint32(rec.RateHz))
	head = le.AppendUint32(head, uint32(rec.RateHz*channels*width))
	head = le.AppendUint16(head, uint16(channels*width))
	head = le.AppendUint16(head, uint16(c.Bits))
	head = append(head, "data"...)
	head = le.AppendUint32(head, uint32(size))
	w.Write(head)
	full := math.Ldexp(1, c.Bits-1)
	var b [4]byte
	for k := range frames {
		for _, x := range rec.Channels {
			if c.Float {
				le.PutUint32(b[:], math.Float32bits(float32(x[k])))
				w.Write(b[:])
				continue
			}
			v := int32(max(-full, min(full-1, math.RoundToEven(x[k]*full))))
			le.PutUint32(b[:], uint32(v)<<(32-c.Bits))
			w.Write(b[4-width:])
		}
	}
	if size%2 == 1 {
		w.WriteByte(0) // parts begin at even places
	}
	return w.Flush() // keeps the first error of all writes
}
