// Package agreement says how far people who judge the outcomes of trials agree, and which trials to look at again.
//
// No single figure does: where nearly all trials are held, two judges can agree on 94 of 100 and have a κ below zero.
// Raw agreement, figures corrected for chance and the table of confusion are therefore given together.
package agreement
