// Package unknowns knows which quantities of a simulated scene bench trials can tell, such as friction and position error, and
// runs trials of the scene with other values of them. It does no I/O.
package unknowns
