// Package touch says where a finger was touched from what it sounds like: features of short clips chosen by name,
// classifiers of zones, regression of positions with error bars, and honest figures of how well that works on a day and a
// finger that were not trained on. DESIGN.md has the equations that comments cite, and why they were chosen.
//
// A clip is one channel of samples in any unit; zones are numbered from 0; positions are in millimetres along the finger.
// Nothing here is a safety function: a touch that must stop a machine needs a device made for that.
package touch
