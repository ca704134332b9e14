// Package shape holds the solids that items are made of, and says how near things are to each other: a point, a finger's
// middle line or another finger against a solid or a segment, and a solid against a plane. It gives signed distances with the
// nearest points and the normal, as contacts need them; questions allocate nothing. Lengths are in metres, in whatever frame
// the arguments share.
package shape
