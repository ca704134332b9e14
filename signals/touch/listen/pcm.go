package listen

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/signals/sound"
)

// The formats of raw samples, all little-endian: signed whole numbers of 16, 24 and 32 bits, IEEE floating point of 32.
const (
	S16 = "s16"
	S24 = "s24"
	S32 = "s32"
	F32 = "f32"
)

// Formats lists the formats of raw samples.
var Formats = []string{S16, S24, S32, F32}

// Decoder turns bytes of raw samples into numbers, one channel of those that are interleaved. Bytes may come in pieces that
// end within a sample.
type Decoder struct {
	format           string
	width            int
	channels, choice int
	left             []byte // of a frame that is not whole yet
	frame            int64
}

// NewDecoder prepares for a format, so many interleaved channels, and the one to take, counted from 1.
func NewDecoder(format string, channels, channel int) (*Decoder, error) {
	switch {
	case !slices.Contains(Formats, format):
		return nil, fmt.Errorf("sample format %q is not known; choose of %s", format, strings.Join(Formats, ", "))
	case channels < 1 || channels > sound.MaxChannels:
		return nil, fmt.Errorf("%d channels; 1 to %d are read", channels, sound.MaxChannels)
	case channel < 1 || channel > channels:
		return nil, fmt.Errorf("channel %d of %d does not exist; channels are counted from 1", channel, channels)
	}
	width := map[string]int{S16: 2, S24: 3, S32: 4, F32: 4}[format]
	return &Decoder{format: format, width: width, channels: channels, choice: channel - 1, left: make([]byte, 0, width*channels)}, nil
}

// Decode appends the samples that the bytes complete to dst, full scale being 1. Floating-point samples that are no finite
// numbers, or beyond a thousand times full scale, which only another format or a shifted byte makes, are an error that says
// which frame; those before it are appended.
func (d *Decoder) Decode(dst []float64, p []byte) ([]float64, error) {
	size := d.width * d.channels
	if len(d.left) > 0 {
		n := min(size-len(d.left), len(p))
		d.left, p = append(d.left, p[:n]...), p[n:]
		if len(d.left) < size {
			return dst, nil
		}
		v, err := d.sample(d.left)
		d.left = d.left[:0]
		if err != nil {
			return dst, err
		}
		dst = append(dst, v)
	}
	for ; len(p) >= size; p = p[size:] {
		v, err := d.sample(p)
		if err != nil {
			return dst, err
		}
		dst = append(dst, v)
	}
	d.left = append(d.left, p...)
	return dst, nil
}

// Rest returns how many bytes wait for the rest of their frame; at the end of a stream it should be 0.
func (d *Decoder) Rest() int { return len(d.left) }

func (d *Decoder) sample(frame []byte) (float64, error) {
	n := d.frame
	d.frame++
	b := frame[d.choice*d.width:]
	switch d.format {
	case S16:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15), nil
	case S24:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23), nil
	case S32:
		return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31), nil
	}
	v := float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	if !(math.Abs(v) <= 1000) {
		return 0, fmt.Errorf("frame %d, channel %d: %g is no sample of sound; is the stream really %s with %d channels?", n, d.choice+1, v, d.format, d.channels)
	}
	return v, nil
}
