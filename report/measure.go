package report

import (
	"strings"
	"sync"

	"codeberg.org/go-pdf/fpdf"
)

// Letter widths are those of the page description standard's sans-serif face, in parts of the em. Other faces that a
// viewer may put in its place are close.
var widths = sync.OnceValue(func() *[2][256]float64 {
	w := new([2][256]float64)
	pdf := fpdf.New("P", "pt", "A4", "")
	for bold, style := range []string{"", "B"} {
		pdf.SetFont("Helvetica", style, 1000)
		for c := 32; c < 256; c++ {
			w[bold][c] = pdf.GetStringWidth(string([]byte{byte(c)})) / 1000
		}
	}
	return w
})

// textWidth returns the width (mm) of a line of text of the size (mm).
func textWidth(text string, size float64, bold bool) float64 {
	table := &widths()[0]
	if bold {
		table = &widths()[1]
	}
	sum := 0.0
	for _, c := range []byte(western(text)) {
		sum += table[c]
	}
	return sum * size
}

// wrap breaks text into lines no wider than width (mm). Words wider than that are broken where the line ends.
func wrap(text string, size, width float64, bold bool) []string {
	var lines []string
	for _, paragraph := range strings.Split(text, "\n") {
		line := ""
		for _, word := range pieces(strings.Fields(paragraph), size, width, bold) {
			longer := word
			if line != "" {
				longer = line + " " + word
			}
			if line != "" && textWidth(longer, size, bold) > width {
				lines = append(lines, line)
				line = word
				continue
			}
			line = longer
		}
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// pieces cuts words that no line could hold.
func pieces(words []string, size, width float64, bold bool) []string {
	var fit []string
	for _, word := range words {
		runes := []rune(word)
		for textWidth(string(runes), size, bold) > width {
			n := 1
			for n+1 < len(runes) && textWidth(string(runes[:n+1]), size, bold) <= width {
				n++
			}
			if n >= len(runes) {
				break
			}
			fit = append(fit, string(runes[:n]))
			runes = runes[n:]
		}
		fit = append(fit, string(runes))
	}
	return fit
}

// shortened cuts text to a width (mm) and marks the cut.
func shortened(text string, size, width float64, bold bool) string {
	if textWidth(text, size, bold) <= width {
		return text
	}
	runes := []rune(text)
	for n := len(runes) - 1; n > 0; n-- {
		if cut := strings.TrimSpace(string(runes[:n])) + "…"; textWidth(cut, size, bold) <= width {
			return cut
		}
	}
	return "…"
}

// spelled writes signs that the built-in faces lack with signs that they have.
var spelled = strings.NewReplacer("−", "–", "≤", "<=", "≥", ">=", "→", "->", "′", "'", "″", "\"", "\u00a0", " ",
	"ł", "l", "Ł", "L", "ő", "ö", "Ő", "Ö", "ű", "ü", "Ű", "Ü", "ş", "s", "ğ", "g", "ı", "i", "č", "c", "ć", "c", "ę", "e", "ą", "a", "ń", "n", "ż", "z", "ź", "z", "ř", "r", "ě", "e", "ů", "u")

// western encodes text in Windows code page 1252, which the built-in faces cover; what it lacks becomes a question
// mark, control characters a space.
func western(text string) string {
	text = spelled.Replace(text)
	out := make([]byte, 0, len(text))
	for _, r := range text {
		switch {
		case r < 32 || r == 127:
			out = append(out, ' ')
		case r < 128 || (r >= 0xA0 && r <= 0xFF):
			out = append(out, byte(r))
		default:
			if c, ok := page1252[r]; ok {
				out = append(out, c)
			} else {
				out = append(out, '?')
			}
		}
	}
	return string(out)
}

var page1252 = map[rune]byte{'€': 0x80, '‚': 0x82, 'ƒ': 0x83, '„': 0x84, '…': 0x85, '†': 0x86, '‡': 0x87, 'ˆ': 0x88, '‰': 0x89,
	'Š': 0x8A, '‹': 0x8B, 'Œ': 0x8C, 'Ž': 0x8E, '‘': 0x91, '’': 0x92, '“': 0x93, '”': 0x94, '•': 0x95, '–': 0x96, '—': 0x97,
	'˜': 0x98, '™': 0x99, 'š': 0x9A, '›': 0x9B, 'œ': 0x9C, 'ž': 0x9E, 'Ÿ': 0x9F}
