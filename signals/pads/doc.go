// Package pads turns the readings of an array of touch pads, as on a glove or a fingertip, into force and place of contact.
//
// An array is calibrated once by pressing its pads one at a time with known forces. That gives each pad's response, what it
// passes to its neighbours, its noise, and which pads can not be trusted. After that every frame of readings becomes a force
// by pad, and neighbouring pads that feel something become contacts with a centre and an error.
//
// Readings are in whatever unit the array gives; forces are in newtons, places in metres, times in seconds.
package pads
