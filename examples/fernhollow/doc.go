// Package fernhollow is the demonstration: Fernhollow Bakery, an invented packing line for rolls, croissants, éclairs,
// cream puffs and eggs, with invented hands. Its trials are simulated by mechanics, none comes from a bench; what a simulation can
// not know is made up on top by seeded rules. Everything it makes carries the label "invented".
package fernhollow
