package hand_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"holdfast/mechanics/hand"
)

var update = flag.Bool("update", false, "rewrite the table of segments in DESIGN.md")

const (
	studyBegin = "<!-- segments: kept by design_test.go, rewrite with: go test ./mechanics/hand -run Segments -update -->\n"
	studyEnd   = "<!-- end of segments -->"
)

// How many segments a finger needs, as DESIGN.md tells it: error of the chain against beam theory, in per cent.
func TestSegmentsTableIsTrue(t *testing.T) {
	cuts := []int{2, 3, 4, 5, 6, 8, 10, 20, 40}
	must := func(tip hand.Tip, err error) hand.Tip {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return tip
	}
	// Distance of the tip from where it belongs, share of the length.
	off := func(want hand.Tip, settle func(s *hand.State) error) func(n int) float64 {
		return func(n int) float64 {
			s := rod(t, n)
			if err := settle(s); err != nil {
				t.Fatal(err)
			}
			tip := end(s)
			return math.Hypot(tip.X-want.X, tip.Y-want.Y)
		}
	}
	across := func(load float64) func(n int) float64 {
		return off(hand.EndLoaded(load), func(s *hand.State) error { return s.Settle(nil, tipLoad(s, hand.Vec{X: load}, false)) })
	}
	pressed := func(degrees float64) func(n int) float64 {
		return func(n int) float64 {
			s, drive := pressureFinger(t, n, degrees*degree)
			if err := s.Settle(drive, nil); err != nil {
				t.Fatal(err)
			}
			tip, arc := end(s), hand.Arc(degrees*degree)
			return math.Hypot(tip.X-arc.X, tip.Y-arc.Y)
		}
	}
	held := func(degrees float64) func(n int) float64 {
		return func(n int) float64 {
			s, drive := pressureFinger(t, n, degrees*degree)
			block := hand.Block{Link: n - 1, Point: s.Chain().Joint(n - 1).Link.To, Direction: hand.Vec{X: 1}}
			force, err := s.SettleBlocked(drive, nil, block)
			if err != nil {
				t.Fatal(err)
			}
			return -force/hand.HeldLoad(degrees*degree) - 1
		}
	}
	mode := func(which int, beam float64) func(n int) float64 {
		return func(n int) float64 {
			if which >= n {
				return math.NaN()
			}
			w, err := rod(t, n).Modes()
			if err != nil {
				t.Fatal(err)
			}
			return w[which]/beam - 1
		}
	}
	follower := must(hand.CantileverLoads{Follower: 5}.Bend(1))
	spread := must(hand.CantileverLoads{Uniform: 10}.Bend(1))
	var table strings.Builder
	table.WriteString("\n| what |")
	for _, n := range cuts {
		fmt.Fprintf(&table, " %d |", n)
	}
	table.WriteString("\n| --- |" + strings.Repeat(" ---: |", len(cuts)) + "\n")
	for _, c := range []struct {
		name  string
		error func(n int) float64
	}{
		{"tip, end force PL²/EI = 1", across(1)}, {"tip, end force 5", across(5)}, {"tip, end force 10", across(10)},
		{"tip, follower 5", off(follower, func(s *hand.State) error { return s.Settle(nil, tipLoad(s, hand.Vec{X: 5}, true)) })},
		{"tip, spread qL³/EI = 10", off(spread, func(s *hand.State) error { s.Gravity = hand.Vec{X: 10}; return s.Settle(nil, nil) })},
		{"tip, pressure to 90°", pressed(90)}, {"tip, pressure to 180°", pressed(180)},
		{"held tip's force, 45° freely", held(45)}, {"held tip's force, 90° freely", held(90)},
		{"first frequency", mode(0, 3.516015)}, {"second frequency", mode(1, 22.034492)}, {"third frequency", mode(2, 61.697214)},
	} {
		fmt.Fprintf(&table, "| %s |", c.name)
		for _, n := range cuts {
			if e := 100 * c.error(n); math.IsNaN(e) {
				table.WriteString(" – |")
			} else {
				fmt.Fprintf(&table, " %.2f |", e)
			}
		}
		table.WriteString("\n")
	}
	table.WriteString("\n")

	file, err := os.ReadFile("DESIGN.md")
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(file), studyBegin)
	old, after, ok2 := strings.Cut(rest, studyEnd)
	if !ok || !ok2 {
		t.Fatal("DESIGN.md has lost the marks around its table of segments")
	}
	if *update {
		if err := os.WriteFile("DESIGN.md", []byte(before+studyBegin+table.String()+studyEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if old != table.String() {
		t.Errorf("the table of segments in DESIGN.md is not what the chains do; run with -update. Got:%s", table.String())
	}
}
