// Package contact holds the laws of contact between a compliant finger and a soft item: how far bodies press into each
// other and how wide the contact becomes (Hertz, ellipses, adhesion, creep), how much shear and torsion friction carries
// before it slips (Coulomb, Mindlin, limit surfaces), and how high the pressure in the item is.
//
// Everything is a pure function in SI units: lengths in metres, forces in newtons, pressures in pascals, torques in
// newton metres. Bodies are elastic half-spaces near the contact, so a contact must be small against the curvature of
// the bodies; [Hertz.Valid] tells.
//
// K. L. Johnson, "Contact Mechanics" (Cambridge, 1985), is meant wherever "Johnson" is cited; equation numbers are from
// memory, the figures in the tests were recomputed from the equations as they stand.
package contact
