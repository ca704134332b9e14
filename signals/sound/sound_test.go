package sound

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func recording(channels, n, rate int) *Recording {
	r := rand.New(rand.NewPCG(1, 2))
	rec := &Recording{RateHz: rate}
	for range channels {
		x := make([]float64, n)
		for i := range x {
			x[i] = 2*r.Float64() - 1
		}
		x[0], x[1] = -1, 1
		rec.Channels = append(rec.Channels, x)
	}
	return rec
}

func written(t testing.TB, rec *Recording, c Coding) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, rec, c); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestThereAndBack(t *testing.T) {
	for _, c := range []struct {
		coding         Coding
		channels, rate int
	}{
		{Coding{16, false}, 1, 8000}, {Coding{24, false}, 1, 48000}, {Coding{24, false}, 3, 96000}, {Coding{32, false}, 2, 192000}, {Coding{32, true}, 2, 44100},
	} {
		rec := recording(c.channels, 333, c.rate)
		raw := written(t, rec, c.coding)
		if len(raw)%2 != 0 || int(binary.LittleEndian.Uint32(raw[4:])) != len(raw)-8 {
			t.Errorf("%+v: %d bytes, header says %d", c, len(raw), binary.LittleEndian.Uint32(raw[4:]))
		}
		got, err := Read(bytes.NewReader(raw))
		if err != nil {
			t.Fatalf("%+v: %v", c, err)
		}
		if got.RateHz != c.rate || len(got.Channels) != c.channels || got.Len() != 333 || got.Seconds() != 333/float64(c.rate) {
			t.Fatalf("%+v: %d Hz, %d channels of %d", c, got.RateHz, len(got.Channels), got.Len())
		}
		step := math.Ldexp(1, 1-c.coding.Bits)
		for i, x := range rec.Channels {
			for k, v := range x {
				off := math.Abs(got.Channels[i][k] - v)
				if c.coding.Float && off > 1e-7 || !c.coding.Float && off > step {
					t.Fatalf("%+v: channel %d sample %d is %g, not %g", c, i, k, got.Channels[i][k], v)
				}
			}
		}
		// What was read is written again bit by bit.
		if again := written(t, got, c.coding); !bytes.Equal(again, raw) {
			t.Errorf("%+v: written again it differs", c)
		}
	}
}

// header builds a file by hand: the coding, channels, rate, bits, an extension and samples.
func header(code, channels, rate, bits int, extension, data []byte) []byte {
	le := binary.LittleEndian
	var f []byte
	f = le.AppendUint16(f, uint16(code))
	f = le.AppendUint16(f, uint16(channels))
	f = le.AppendUint32(f, uint32(rate))
	f = le.AppendUint32(f, uint32(rate*channels*bits/8))
	f = le.AppendUint16(f, uint16(channels*bits/8))
	f = le.AppendUint16(f, uint16(bits))
	f = append(f, extension...)
	b := []byte("RIFF\x00\x00\x00\x00WAVE")
	part := func(name string, p []byte) {
		b = append(b, name...)
		b = le.AppendUint32(b, uint32(len(p)))
		b = append(b, p...)
		if len(p)%2 == 1 {
			b = append(b, 0)
		}
	}
	part("LIST", []byte("odd"))
	part("fmt ", f)
	part("fact", []byte{1, 0, 0, 0})
	part("data", data)
	return b
}

func extension(code, valid int) []byte {
	le := binary.LittleEndian
	e := le.AppendUint16(nil, 22)
	e = le.AppendUint16(e, uint16(valid))
	e = le.AppendUint32(e, 4)
	e = le.AppendUint16(e, uint16(code))
	return append(e, subformatTail[:]...)
}

func TestCodings(t *testing.T) {
	le := binary.LittleEndian
	for name, c := range map[string]struct {
		raw  []byte
		want []float64
	}{
		"8 bits":            {header(1, 1, 8000, 8, nil, []byte{0, 128, 192}), []float64{-1, 0, .5}},
		"16 bits":           {header(1, 1, 8000, 16, nil, []byte{0, 0x80, 0, 0x40}), []float64{-1, .5}},
		"24 bits":           {header(1, 1, 8000, 24, nil, []byte{0, 0, 0x80, 0, 0, 0x40, 0xff, 0xff, 0xff}), []float64{-1, .5, -math.Ldexp(1, -23)}},
		"32 bits":           {header(1, 1, 8000, 32, nil, []byte{0, 0, 0, 0x80, 0, 0, 0, 0x20}), []float64{-1, .25}},
		"double":            {header(3, 1, 8000, 64, nil, le.AppendUint64(nil, math.Float64bits(1.5))), []float64{1.5}},
		"extensible 24 bit": {header(codeExtensible, 1, 8000, 24, extension(1, 20), []byte{0, 0, 0x40}), []float64{.5}},
		"extensible float":  {header(codeExtensible, 1, 8000, 32, extension(3, 32), le.AppendUint32(nil, math.Float32bits(-2))), []float64{-2}},
	} {
		got, err := Read(bytes.NewReader(c.raw))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i, w := range c.want {
			if got.Len() != len(c.want) || got.Channels[0][i] != w {
				t.Errorf("%s: %v, want %v", name, got.Channels[0], c.want)
				break
			}
		}
	}
	// A recorder that was cut off leaves the length at its largest.
	open := header(1, 1, 8000, 16, nil, []byte{1, 0, 2, 0, 3})
	le.PutUint32(open[len(open)-6-4:], unknownSize)
	if got, err := Read(bytes.NewReader(open)); err != nil || got.Len() != 3 {
		t.Errorf("open end: %v %v", got, err)
	}
}

func TestBrokenFilesSayWhere(t *testing.T) {
	good := header(1, 1, 8000, 16, nil, []byte{1, 0, 2, 0})
	le := binary.LittleEndian
	for name, c := range map[string]struct {
		raw  []byte
		want string
	}{
		"empty":            {nil, "byte 0: the file ends"},
		"other":            {[]byte("OggS00000000000"), "byte 0: this is no WAV"},
		"cut in samples":   {good[:len(good)-1], "after 3 of 4 bytes"},
		"cut in header":    {good[:30], "the file ends within"},
		"no samples part":  {good[:len(good)-12], "before any sample"},
		"no samples":       {header(1, 1, 8000, 16, nil, nil), "no samples"},
		"half a frame":     {header(1, 2, 8000, 16, nil, []byte{1, 2}), "no whole number of frames"},
		"compressed":       {header(85, 1, 8000, 16, nil, []byte{1, 2}), "coding 85"},
		"slow":             {header(1, 1, 4000, 16, nil, []byte{1, 2}), "sampling rate of 4000"},
		"fast":             {header(1, 1, 384000, 16, nil, []byte{1, 2}), "sampling rate of 384000"},
		"12 bits":          {header(1, 1, 8000, 12, nil, []byte{1, 2}), "12 bits"},
		"no channel":       {header(1, 0, 8000, 16, nil, []byte{1, 2}), "0 channels"},
		"short extensible": {header(codeExtensible, 1, 8000, 16, nil, []byte{1, 2}), "extensible"},
		"not a number":     {header(3, 1, 8000, 32, nil, le.AppendUint32(nil, math.Float32bits(float32(math.NaN())))), "no finite number"},
	} {
		_, err := Read(bytes.NewReader(c.raw))
		var at *Error
		if !errors.As(err, &at) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	for _, c := range []struct {
		rec    *Recording
		coding Coding
	}{
		{recording(1, 5, 48000), Coding{8, false}}, {recording(1, 5, 48000), Coding{16, true}}, {recording(1, 5, 7999), Coding{16, false}},
		{&Recording{RateHz: 8000}, Coding{16, false}}, {&Recording{8000, [][]float64{{1}, {1, 2}}}, Coding{16, false}}, {&Recording{8000, [][]float64{{math.NaN()}}}, Coding{16, false}},
	} {
		var b bytes.Buffer
		if err := Write(&b, c.rec, c.coding); err == nil || b.Len() > 0 {
			t.Errorf("%+v: %v, %d bytes", c.coding, err, b.Len())
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(header(1, 1, 8000, 16, nil, []byte{1, 0, 2, 0}))
	f.Add(header(1, 2, 48000, 24, nil, make([]byte, 12)))
	f.Add(header(3, 1, 192000, 64, nil, make([]byte, 16)))
	f.Add(header(codeExtensible, 1, 8000, 24, extension(1, 20), []byte{0, 0, 0x40}))
	f.Add(written(f, recording(2, 40, 44100), Coding{32, true}))
	f.Add([]byte("RIFF\x00\x00\x00\x00WAVEdata\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		rec, err := Read(bytes.NewReader(raw))
		if err != nil {
			var at *Error
			if !errors.As(err, &at) {
				t.Fatalf("an error without a place: %v", err)
			}
			return
		}
		if rec.Len() == 0 || rec.Len()*len(rec.Channels) > len(raw) {
			t.Fatalf("%d samples out of %d bytes", rec.Len()*len(rec.Channels), len(raw))
		}
		for _, x := range rec.Channels {
			if len(x) != rec.Len() {
				t.Fatal("channels differ in length")
			}
			for _, v := range x {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatal("a sample is not finite")
				}
			}
		}
	})
}
