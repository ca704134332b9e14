// Package fernhollow is the demonstration: Fernhollow Bakery, an invented packing line for rolls, croissants, éclairs,
// cream puffs and eggs, with invented hands. Its trials are drawn from a seeded statistical truth, not from mechanics
// and not from any bench; everything it makes carries the label "invented".
package fernhollow
