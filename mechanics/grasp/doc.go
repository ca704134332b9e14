// Package grasp says what a set of contacts on an item can do: which wrenches they hold, which motions they stop, how
// far the grasp is from losing its hold, what it can carry in each direction, and how hard it must squeeze for that.
//
// # Conventions
//
// SI units: positions in metres, forces in newtons, torques in newton metres, in one frame for all contacts. A contact
// force is what the finger does to the item; its normal component pushes into the item and is never negative. A wrench
// lists force then torque, the torque taken about the grasp's origin. To compare torques with forces, every torque is
// divided by the grasp's Length ρ; numbers of two grasps can only be compared when ρ is the same.
//
// Quality numbers are per unit NORMAL force, not per unit length of the edges of a friction pyramid: with the latter
// they would be smaller by √(1+μ²). [Sharing] says how normal forces are counted, [Limits] whether friction is a true
// cone or a pyramid of so many edges. Both are part of every number.
//
// DESIGN.md has the equations, where they come from, and what was measured.
package grasp
