// Package listen answers touches while the sound is still coming: samples in blocks of any size go in, and for each touch
// found in them comes out where it was, by a model that signals/touch trained. Whatever the blocks, the answers are those
// of the whole recording. It knows no clock and no device: whoever feeds it measures how long an answer takes.
//
// Its answers are no safety function.
package listen
