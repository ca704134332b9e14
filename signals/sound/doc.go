// Package sound reads and writes recordings of sound: WAV files (RIFF/WAVE) of whole-number and floating-point samples,
// plain or extensible, any number of channels.
//
// Our own reader, because the one of the general library hands out whole numbers only and leaves the extensible header's
// real coding aside; a reader that is fuzzed here and says where a file breaks is short enough.
package sound
