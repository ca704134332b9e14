package sound

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// Limits of what is read. They keep a damaged header from asking for memory that the file does not fill.
const (
	MinRateHz   = 8000
	MaxRateHz   = 192000
	MaxChannels = 64
)

// Recording is a sound. Samples of whole numbers are scaled so that full scale is 1; those of floating point are as they
// stand in the file.
type Recording struct {
	RateHz   int
	Channels [][]float64 // by channel, equally long
}

// Len returns the number of samples of each channel.
func (r *Recording) Len() int {
	if len(r.Channels) == 0 {
		return 0
	}
	return len(r.Channels[0])
}

// Seconds returns the duration.
func (r *Recording) Seconds() float64 { return float64(r.Len()) / float64(r.RateHz) }

// Error says at which byte a file is not as it should be, and what to do.
type Error struct {
	Offset int64 // bytes from the start of the file
	Reason string
}

func (e *Error) Error() string { return fmt.Sprintf("byte %d: %s", e.Offset, e.Reason) }

// The codings of samples that a WAV header names.
const (
	codePCM        = 1
	codeFloat      = 3
	codeExtensible = 0xFFFE
)

// subformatTail is what follows the coding in an extensible header's identifier.
var subformatTail = [14]byte{0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71}

// format is the chunk that says how samples are coded.
type format struct {
	code, channels, align, bits, valid int
	rate                               int
}

// reader counts what it has read, so that errors say where.
type reader struct {
	r  io.Reader
	at int64
}

func (r *reader) full(p []byte, what string) error {
	start := r.at
	n, err := io.ReadFull(r.r, p)
	r.at += int64(n)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return &Error{start, "the file ends within " + what + "; record or copy it again"}
	}
	return err
}

func (r *reader) skip(n int64, what string) error {
	start := r.at
	got, err := io.CopyN(io.Discard, r.r, n)
	r.at += got
	if errors.Is(err, io.EOF) {
		return &Error{start, "the file ends within " + what + "; record or copy it again"}
	}
	return err
}

// Read reads a WAV file: PCM of 8, 16, 24 or 32 bits or IEEE float of 32 or 64, 8 to 192 kHz, plain or extensible. Chunks
// that are not about samples are passed over. What is wrong with the file comes as *Error, other errors are the reader's.
func Read(from io.Reader) (*Recording, error) {
	r := &reader{r: from}
	var head [12]byte
	if err := r.full(head[:], "its first 12 bytes"); err != nil {
		return nil, err
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != "WAVE" {
		return nil, &Error{0, "this is no WAV file (it does not begin with RIFF … WAVE); save the sound as WAV"}
	}
	var f *format
	for {
		var chunk [8]byte
		start := r.at
		if err := r.full(chunk[:], "the header of a part, before any sample"); err != nil {
			return nil, err
		}
		name, size := string(chunk[:4]), int64(binary.LittleEndian.Uint32(chunk[4:]))
		switch name {
		case "fmt ":
			if f != nil {
				return nil, &Error{start, "a second description of the format; keep one"}
			}
			var err error
			if f, err = readFormat(r, size); err != nil {
				return nil, err
			}
			if size%2 == 1 {
				if err := r.skip(1, "padding"); err != nil {
					return nil, err
				}
			}
		case "data":
			if f == nil {
				return nil, &Error{start, "samples come before the description of their format"}
			}
			return readSamples(r, f, size)
		default:
			if err := r.skip(size+size%2, fmt.Sprintf("the part %q", name)); err != nil {
				return nil, err
			}
		}
	}
}

func readFormat(r *reader, size int64) (*format, error) {
	start := r.at
	bad := func(reason string, args ...any) (*format, error) {
		return nil, &Error{start, fmt.Sprintf(reason, args...)}
	}
	if size < 16 || size > 4096 {
		return bad("a description of the format of %d bytes; it has 16 to 40", size)
	}
	b := make([]byte, size)
	if err := r.full(b, "the description of the format"); err != nil {
		return nil, err
	}
	u16 := func(at int) int { return int(binary.LittleEndian.Uint16(b[at:])) }
	f := &format{code: u16(0), channels: u16(2), rate: int(binary.LittleEndian.Uint32(b[4:])), align: u16(12), bits: u16(14)}
	f.valid = f.bits
	if f.code == codeExtensible {
		if size < 40 || u16(16) < 22 {
			return bad("an extensible description of %d bytes; it has 40", size)
		}
		if [14]byte(b[26:40]) != subformatTail {
			return bad("a coding that is neither PCM nor floating point; save the sound as PCM")
		}
		f.code = u16(24)
		if v := u16(18); v > 0 {
			f.valid = v
		}
	}
	switch {
	case f.code != codePCM && f.code != codeFloat:
		return bad("coding %d is neither PCM (1) nor floating point (3); save the sound as PCM", f.code)
	case f.code == codePCM && f.bits != 8 && f.bits != 16 && f.bits != 24 && f.bits != 32,
		f.code == codeFloat && f.bits != 32 && f.bits != 64:
		return bad("samples of %d bits are not read; use 16, 24 or 32 bits, or float", f.bits)
	case f.valid < 1 || f.valid > f.bits:
		return bad("%d valid bits in samples of %d", f.valid, f.bits)
	case f.channels < 1 || f.channels > MaxChannels:
		return bad("%d channels; 1 to %d are read", f.channels, MaxChannels)
	case f.rate < MinRateHz || f.rate > MaxRateHz:
		return bad("a sampling rate of %d Hz; %d to %d Hz are read", f.rate, MinRateHz, MaxRateHz)
	case f.align != f.channels*f.bits/8:
		return bad("a frame of %d bytes does not hold %d samples of %d bits", f.align, f.channels, f.bits)
	}
	return f, nil
}

// unknownSize stands where a recorder did not come back to fill in the length: the samples go on to the end of the file.
const unknownSize = math.MaxUint32

func readSamples(r *reader, f *format, size int64) (*Recording, error) {
	start := r.at
	toTheEnd := size == unknownSize
	if !toTheEnd && size%int64(f.align) != 0 {
		return nil, &Error{start, fmt.Sprintf("%d bytes of samples are no whole number of frames of %d bytes", size, f.align)}
	}
	rec := &Recording{RateHz: f.rate, Channels: make([][]float64, f.channels)}
	// Read in pieces, so that a header can not ask for more memory than the file has bytes.
	buffer := make([]byte, 4096*f.align)
	width := f.bits / 8
	for left := size; left > 0; {
		want := int(min(int64(len(buffer)), left))
		n, err := io.ReadFull(r.r, buffer[:want])
		r.at += int64(n)
		ended := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		if err != nil && !ended {
			return nil, err
		}
		if ended && !toTheEnd {
			return nil, &Error{r.at, fmt.Sprintf("the file ends after %d of %d bytes of samples; record or copy it again", r.at-start, size)}
		}
		for at := 0; at+f.align <= n; at += f.align {
			for c := range rec.Channels {
				v := f.sample(buffer[at+c*width:])
				if math.IsNaN(v) || math.IsInf(v, 0) {
					return nil, &Error{r.at - int64(n) + int64(at+c*width), "a sample that is no finite number; record again"}
				}
				rec.Channels[c] = append(rec.Channels[c], v)
			}
		}
		if ended {
			break
		}
		left -= int64(want)
	}
	if rec.Len() == 0 {
		return nil, &Error{start, "no samples; record again"}
	}
	return rec, nil
}

// sample decodes one sample.
func (f *format) sample(b []byte) float64 {
	switch {
	case f.code == codeFloat && f.bits == 32:
		return float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	case f.code == codeFloat:
		return math.Float64frombits(binary.LittleEndian.Uint64(b))
	case f.bits == 8:
		return (float64(b[0]) - 128) / 128 // bytes are the one width without a sign
	case f.bits == 16:
		return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
	case f.bits == 24:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
	}
	return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
}
