// Package motion steps bodies in contact through time: rigid items and whatever else can say how an impulse at a contact
// changes its velocities, such as fingers on springs. Contacts are compliant, with true friction cones, and are solved
// together at the end of every step, so a stiff contact needs no short step.
//
// Everything is in SI units: metres, seconds, kilograms, newtons, newton seconds for impulses. DESIGN.md gives the
// equations and says why they were chosen.
package motion
