package trialsim

import (
	"fmt"

	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// Setting is what surrounds the item. The support's plane is z = 0.
type Setting struct {
	Name    string
	Support motion.Surface
	// Edge says that the support ends across x, at x = EdgeAt (m); beyond it there is nothing.
	Edge   bool
	EdgeAt float64
	// Blocks stand on the support: walls, the rims of a tray.
	Blocks []Block
	// Neighbours are where more items of the family lie loose, relative to the first (m along x and y).
	Neighbours [][2]float64
}

// Block is a box with sides along the axes that does not move.
type Block struct {
	Name      string
	Low, High orient.Vec3 // m, opposite corners
	Surface   motion.Surface
}

// Wall returns a block that stands across x: its face is at x = at (m) and looks back towards the item.
func Wall(at, height float64, s motion.Surface) Block {
	const wide, thick = 0.5, 0.05
	return Block{Name: "wall", Low: orient.Vec3{at, -wide, 0}, High: orient.Vec3{at + thick, wide, height}, Surface: s}
}

// Tray returns four walls around a floor of inner lengths (m) along x and y, about the origin.
func Tray(along, across, height float64, s motion.Surface) []Block {
	const thick = 0.02
	a, b := along/2, across/2
	return []Block{
		{Name: "tray's far wall", Low: orient.Vec3{a, -b - thick, 0}, High: orient.Vec3{a + thick, b + thick, height}, Surface: s},
		{Name: "tray's near wall", Low: orient.Vec3{-a - thick, -b - thick, 0}, High: orient.Vec3{-a, b + thick, height}, Surface: s},
		{Name: "tray's left wall", Low: orient.Vec3{-a, b, 0}, High: orient.Vec3{a, b + thick, height}, Surface: s},
		{Name: "tray's right wall", Low: orient.Vec3{-a, -b - thick, 0}, High: orient.Vec3{a, -b, height}, Surface: s},
	}
}

// Check says what of the setting can not be simulated.
func (s *Setting) Check() error {
	if err := checkSurface("support", &s.Support); err != nil {
		return err
	}
	if !finite(s.EdgeAt) {
		return fmt.Errorf("the edge is at x = %g m", s.EdgeAt)
	}
	for _, b := range s.Blocks {
		for k := range 3 {
			if !finite(b.Low[k], b.High[k]) || !(b.Low[k] < b.High[k]) {
				return fmt.Errorf("the %s reaches from %v to %v m; the first must lie below the second along x, y and z", b.Name, b.Low, b.High)
			}
		}
		if err := checkSurface(b.Name, &b.Surface); err != nil {
			return err
		}
	}
	if n := len(s.Neighbours); n > mostItems-1 {
		return fmt.Errorf("%d items lie beside the first; at most %d can be simulated", n, mostItems-1)
	}
	for _, p := range s.Neighbours {
		if !finite(p[:]...) {
			return fmt.Errorf("an item lies beside the first at %v", p)
		}
	}
	return nil
}

// mostItems bounds how many items lie together.
const mostItems = 12
