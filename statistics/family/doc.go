// Package family lets a new item borrow from tested ones: items alike in shape, size, mass, stiffness and friction have
// alike functions of success over orientations, as far as the trials say so. It also says what was borrowed, from whom,
// and how many trials that is worth. DESIGN.md holds the equations that the code cites. SI units and radians.
package family
