// Package hand holds the mechanics of compliant, underactuated hands: fingers as chains of elastic joints with their
// kinematics, dynamics and statics; tendons with differentials and cord friction; fingers bent by pressure; and the
// beam theory that a finger cut into joints must converge to.
//
// Everything is in SI units: metres, radians, kilograms, newtons, pascals, seconds. A vector is in the frame its comment
// names. Nothing here knows a clock, a file or a random number; what a simulation calls at each step ([State.Update],
// [State.Move], [State.MassMatrix], [State.Bias], [State.Elastic], the products with Jacobians, [Transmission.Torque])
// allocates nothing.
//
// DESIGN.md beside this file numbers the equations and says where they come from, what is left out, and what was
// measured. None of it is a safety function: a hand that can pinch is guarded by its cell, after a risk assessment.
package hand
