// Package shape says how near bodies of simple shape are to each other: a point, a finger's middle line or another finger
// against an ellipsoid, a half-space or a segment. It gives signed distances with the nearest points and the normal, as
// contacts need them; nothing allocates. Lengths are in metres, in whatever frame the arguments share.
package shape
