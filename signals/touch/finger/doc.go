// Package finger invents the sound of a touched finger from known physics: a clamped–free beam that bends and a tube of air,
// closed at one end, that rings, both struck at a place that weighs their modes. Because the physics is known, the smallest
// error that any method could reach is known too (Cramér–Rao), and a learnt one can be held beside it.
//
// It is a test stand, not a model of a real hand: damping and pick-up are plausible numbers of our own, and so are some of the
// objects that it is touched by.
package finger
