package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"
)

// The stroke face: letters for pictures, drawn with a pen of even width. Each glyph is a small program on a box that
// is 100 wide and 72 high from the base line to the top of a capital, y upwards:
//
//	m x y              lift the pen and go to (x, y)
//	l x y              draw a line to (x, y)
//	o cx cy rx ry a b  lift the pen and draw an elliptic arc from angle a to b (degrees, counter-clockwise from +x)
//	a cx cy rx ry a b  draw on to the start of an arc and along it
var strokeGlyphs = map[rune]string{
	'A': "m 0 0 l 50 72 l 100 0 m 18 26 l 82 26",
	'B': "m 4 0 l 4 72 l 58 72 a 60 54.5 32 17.5 90 -90 l 4 37 m 60 37 a 62 18.5 36 18.5 90 -90 l 4 0",
	'C': "o 52 36 50 36 48 312",
	'D': "m 4 0 l 4 72 l 42 72 a 42 36 56 36 90 -90 l 4 0",
	'E': "m 95 0 l 5 0 l 5 72 l 95 72 m 5 38 l 85 38",
	'F': "m 5 0 l 5 72 l 95 72 m 5 37 l 82 37",
	'G': "o 52 36 50 36 48 340 l 99 33 l 60 33",
	'H': "m 3 0 l 3 72 m 97 0 l 97 72 m 3 38 l 97 38",
	'I': "m 50 0 l 50 72",
	'J': "m 85 72 l 85 20 a 45 20 40 20 0 -180",
	'K': "m 5 0 l 5 72 m 95 72 l 5 26 m 34 41 l 100 0",
	'L': "m 5 72 l 5 0 l 95 0",
	'M': "m 2 0 l 2 72 l 50 8 l 98 72 l 98 0",
	'N': "m 4 0 l 4 72 l 96 0 l 96 72",
	'O': "o 50 36 50 36 0 360",
	'P': "m 5 0 l 5 72 l 58 72 a 58 53 38 19 90 -90 l 5 34",
	'Q': "o 50 36 50 36 0 360 m 62 18 l 98 -4",
	'R': "m 5 0 l 5 72 l 58 72 a 58 53 38 19 90 -90 l 5 34 m 56 34 l 98 0",
	'S': "o 50 54.5 42 17.5 30 270 a 50 18.5 46 18.5 90 -150",
	'T': "m 0 72 l 100 72 m 50 72 l 50 0",
	'U': "m 4 72 l 4 25 a 50 25 46 25 180 360 l 96 72",
	'V': "m 0 72 l 50 0 l 100 72",
	'W': "m 0 72 l 25 0 l 50 72 l 75 0 l 100 72",
	'X': "m 2 72 l 98 0 m 98 72 l 2 0",
	'Y': "m 0 72 l 50 34 l 100 72 m 50 34 l 50 0",
	'Z': "m 5 72 l 95 72 l 3 0 l 97 0",
	'a': "o 45 26 43 26 0 360 m 92 52 l 92 0",
	'b': "m 8 72 l 8 0 o 55 26 43 26 0 360",
	'c': "o 52 26 47 26 48 312",
	'd': "m 92 72 l 92 0 o 45 26 43 26 0 360",
	'e': "m 4 28 l 96 28 a 50 26 46 26 5 312",
	'f': "o 85 58 42 14 90 180 l 43 0 m 5 50 l 90 50",
	'g': "o 45 26 43 26 0 360 m 92 52 l 92 2 a 48 2 44 22 0 -155",
	'h': "m 8 72 l 8 0 m 8 28 a 50 28 42 24 180 0 l 92 0",
	'i': "m 50 51 l 50 0 m 50 67 l 50 69",
	'j': "m 60 51 l 60 -8 a 20 -8 40 13 0 -90 m 60 67 l 60 69",
	'k': "m 8 72 l 8 0 m 88 51 l 8 18 m 36 30 l 96 0",
	'l': "m 50 72 l 50 0",
	'm': "m 2 52 l 2 0 m 2 30 a 26 30 24 22 180 0 l 50 0 m 50 30 a 74 30 24 22 180 0 l 98 0",
	'n': "m 8 52 l 8 0 m 8 28 a 50 28 42 24 180 0 l 92 0",
	'o': "o 50 26 48 26 0 360",
	'p': "m 8 52 l 8 -20 o 55 26 43 26 0 360",
	'q': "m 92 52 l 92 -20 o 45 26 43 26 0 360",
	'r': "m 15 52 l 15 0 m 15 26 a 85 26 70 25 180 95",
	's': "o 50 39 42 13 30 270 a 50 13 45 13 90 -150",
	't': "m 43 66 l 43 12 a 85 12 42 12 180 275 m 5 51 l 90 51",
	'u': "m 8 52 l 8 24 a 50 24 42 24 180 360 m 92 52 l 92 0",
	'v': "m 3 52 l 50 0 l 97 52",
	'w': "m 0 52 l 25 0 l 50 52 l 75 0 l 100 52",
	'x': "m 5 52 l 95 0 m 95 52 l 5 0",
	'y': "m 5 52 l 52 2 m 97 52 l 40 -12 l 28 -20 l 12 -20",
	'z': "m 8 52 l 92 52 l 5 0 l 95 0",
	'0': "o 50 36 44 36 0 360",
	'1': "m 16 55 l 54 72 l 54 0",
	'2': "o 50 51 42 21 165 -35 l 5 0 l 95 0",
	'3': "o 48 54.5 40 17.5 150 -90 a 48 18.5 45 18.5 90 -150",
	'4': "m 74 0 l 74 72 l 3 20 l 98 20",
	'5': "m 86 72 l 18 72 l 12 36 a 48 23 45 23 135 -150",
	'6': "o 50 22 44 22 0 360 o 80 22 74 50 92 180",
	'7': "m 5 72 l 95 72 l 36 0",
	'8': "o 50 54.5 38 17.5 0 360 o 50 18.5 45 18.5 0 360",
	'9': "o 50 50 44 22 0 360 o 20 50 74 50 0 -88",
	'.': "m 50 0 l 50 2", ',': "m 55 3 l 35 -13", ':': "m 50 0 l 50 2 m 50 44 l 50 46", ';': "m 55 3 l 35 -13 m 50 44 l 50 46",
	'-': "m 5 25 l 95 25", '–': "m 0 25 l 100 25", '—': "m 0 25 l 100 25", '_': "m 0 -12 l 100 -12",
	'+': "m 5 25 l 95 25 m 50 0 l 50 50", '=': "m 5 34 l 95 34 m 5 16 l 95 16", '±': "m 5 34 l 95 34 m 50 12 l 50 56 m 5 0 l 95 0",
	'×': "m 12 45 l 88 5 m 88 45 l 12 5", '·': "m 50 26 l 50 28", '/': "m 5 -4 l 95 74", '|': "m 50 -15 l 50 74", '\\': "m 5 74 l 95 -4",
	'%': "o 21 55 19 17 0 360 o 79 17 19 17 0 360 m 80 72 l 20 0",
	'(': "o 110 28 75 48 130 230", ')': "o -10 28 75 48 50 -50", '[': "m 85 74 l 25 74 l 25 -15 l 85 -15", ']': "m 15 74 l 75 74 l 75 -15 l 15 -15",
	'°': "o 50 58 36 14 0 360", '\'': "m 50 72 l 50 54", '’': "m 58 72 l 42 54", '"': "m 25 72 l 25 54 m 75 72 l 75 54", '“': "m 25 72 l 20 54 m 75 72 l 70 54", '”': "m 30 72 l 20 54 m 80 72 l 70 54",
	'<': "m 92 46 l 8 25 l 92 4", '>': "m 8 46 l 92 25 l 8 4", '!': "m 50 72 l 50 20 m 50 0 l 50 2", '?': "o 50 54 42 18 170 -60 l 50 20 m 50 0 l 50 2",
	'#': "m 30 0 l 45 72 m 65 0 l 80 72 m 5 24 l 95 24 m 10 48 l 100 48", '*': "m 50 72 l 50 44 m 10 65 l 90 51 m 90 65 l 10 51",
	'&': "m 98 0 l 30 52 a 46 58 20 14 200 -20 l 12 26 a 38 18 34 18 150 360 l 92 30", '@': "o 50 28 48 44 -60 300 o 50 28 22 20 0 360",
	'…': "m 15 0 l 15 2 m 50 0 l 50 2 m 85 0 l 85 2", '•': "o 50 28 20 8 0 360", '~': "o 27 24 23 8 180 0 a 73 24 23 8 180 360",
	'ß': "m 8 0 l 8 55 a 45 55 37 17 180 -60 l 50 36 a 55 18 40 18 80 -110",
	'ø': "o 50 26 48 26 0 360 m 8 -4 l 92 56", 'Ø': "o 50 36 50 36 0 360 m 5 -4 l 95 76",
	'æ': "o 26 26 24 26 0 360 m 50 28 l 98 28 a 74 26 24 26 5 312", 'µ': "m 8 52 l 8 -20 m 8 24 a 50 24 42 24 180 360 m 92 52 l 92 0",
	'²': "o 50 62 42 12 165 -35 l 8 34 l 92 34", '½': "m 10 64 l 28 72 l 28 40 m 85 72 l 15 0 o 76 22 20 9 165 -35 l 56 0 l 98 0",
}

// accents are drawn over a small letter, 20 higher over a capital.
var accents = map[rune]string{
	'´': "m 42 60 l 68 72", '`': "m 58 60 l 32 72", '^': "m 24 60 l 50 72 l 76 60", '¨': "m 28 66 l 28 68 m 72 66 l 72 68",
	'~': "o 33 63 17 5 180 0 a 67 63 17 5 180 360", '°': "o 50 66 16 7 0 360", '¸': "m 50 0 l 44 -18",
}

var accented = func() map[rune][2]rune {
	m := map[rune][2]rune{}
	for accent, pairs := range map[rune]string{
		'´': "éeáaíióoúuýyÉEÁAÍIÓOÚU", '`': "èeàaìiòoùuÈEÀAÒO", '^': "êeâaîiôoûuÊEÂAÔO", '¨': "ëeäaïiöoüuÿyËEÄAÖOÜU",
		'~': "ñnãaõoÑN", '°': "åaÅA", '¸': "çcÇC",
	} {
		letters := []rune(pairs)
		for i := 0; i+1 < len(letters); i += 2 {
			m[letters[i]] = [2]rune{letters[i+1], accent}
		}
	}
	return m
}()

// strokeFace holds the compiled glyphs: polylines on the 100 × 72 box.
var strokeFace = sync.OnceValue(func() map[rune][][]Point {
	face := map[rune][][]Point{}
	for r, program := range strokeGlyphs {
		face[r] = compileGlyph(program)
	}
	for r, parts := range accented {
		base := parts[0]
		lift := 0.0
		if base >= 'A' && base <= 'Z' && parts[1] != '¸' {
			lift = 18
		}
		glyph := append([][]Point{}, face[base]...)
		if base == 'i' {
			glyph = glyph[:1] // the accent takes the dot's place
		}
		for _, line := range compileGlyph(accents[parts[1]]) {
			moved := make([]Point, len(line))
			for i, p := range line {
				moved[i] = Point{p.X, p.Y + lift}
			}
			glyph = append(glyph, moved)
		}
		face[r] = glyph
	}
	return face
})

func compileGlyph(program string) [][]Point {
	var parts [][]Point
	words := strings.Fields(program)
	numbers := func(n int) []float64 {
		v := make([]float64, n)
		for i := range v {
			x, err := strconv.ParseFloat(words[i], 64)
			if err != nil {
				panic(fmt.Sprintf("report: glyph program %q: %v", program, err))
			}
			v[i] = x
		}
		words = words[n:]
		return v
	}
	add := func(p Point) { parts[len(parts)-1] = append(parts[len(parts)-1], p) }
	for len(words) > 0 {
		command := words[0]
		words = words[1:]
		switch command {
		case "m", "l":
			v := numbers(2)
			if command == "m" {
				parts = append(parts, nil)
			}
			add(Point{v[0], v[1]})
		default:
			v := numbers(6)
			if command == "o" {
				parts = append(parts, nil)
			}
			n := int(math.Ceil(math.Abs(v[5]-v[4])/15)) + 1
			for i := range n + 1 {
				s, c := math.Sincos((v[4] + (v[5]-v[4])*float64(i)/float64(n)) * math.Pi / 180)
				add(Point{v[0] + v[2]*c, v[1] + v[3]*s})
			}
		}
	}
	return parts
}

// letters returns the pen strokes of a text operation (mm). Widths are those of the page's face, so that a picture is
// laid out like the page.
func letters(o *op) [][]Point {
	x := o.at.X
	switch o.anchor {
	case Middle:
		x -= textWidth(o.text, o.size, o.bold) / 2
	case End:
		x -= textWidth(o.text, o.size, o.bold)
	}
	face := strokeFace()
	var parts [][]Point
	for _, r := range spelled.Replace(o.text) {
		if r == utf8.RuneError {
			r = '?'
		}
		advance := textWidth(string(r), o.size, o.bold)
		glyph, known := face[r]
		if !known && r > ' ' && r != '\u00a0' {
			glyph = face['?']
		}
		bearing := min(0.085*o.size, advance*0.25)
		for _, line := range glyph {
			part := make([]Point, len(line))
			for i, p := range line {
				part[i] = Point{x + bearing + (advance-2*bearing)*p.X/100, o.at.Y - p.Y/100*o.size}
			}
			parts = append(parts, part)
		}
		x += advance
	}
	return parts
}
