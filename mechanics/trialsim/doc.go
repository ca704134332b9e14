// Package trialsim simulates attempts at picking: a compliant hand on a prescribed path, an item that lies free, and what
// surrounds it. Fingers are elastic chains taken implicitly, so they meet each other only through contacts and through the
// cable that a motor pulls; everything is solved together once a step.
//
// SI units. The world has z up and the support's plane at z = 0. The palm's frame has z out of the palm, towards the item.
package trialsim
