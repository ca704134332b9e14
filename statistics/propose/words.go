package propose

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// name of an arm in a sentence.
func (p *Problem) name(arm int) string {
	if p.Arms[arm].Name == "" {
		return "this strategy"
	}
	return p.Arms[arm].Name
}

// place names a candidate; with several arms also the arm.
func (p *Problem) place(arm, candidate int) string {
	a := p.Arms[arm].Candidates[candidate].Approach()
	deg := func(rad float64) float64 {
		return math.Round(rad*180/math.Pi) + 0 // no −0
	}
	text := strings.ReplaceAll(fmt.Sprintf("tilt %.0f°, azimuth %.0f°, roll %.0f°", deg(a.Tilt), deg(a.Azimuth), deg(a.Roll)), "-", "−")
	if len(p.Arms) > 1 {
		text += " of " + p.name(arm)
	}
	return text
}

func percent(v float64) string  { return fmt.Sprintf("%.0f %%", 100*v) }
func percent1(v float64) string { return fmt.Sprintf("%.1f %%", 100*v) }

// points gives a difference of success in percentage points.
func points(v float64) string { return fmt.Sprintf("%.1f points", 100*v) }

func upperFirst(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[size:]
}
