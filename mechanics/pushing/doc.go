// Package pushing says what happens to an item on a support that is pushed, dragged, tipped over an edge or wedged up: closed forms
// and quasi-static balances to plan by and to hold the simulation against. Plane motions are in the support's plane, moments and
// turns are positive counterclockwise; SI units.
package pushing
