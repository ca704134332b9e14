// Package simfit fits the parameters of a simulation, such as friction, stiffness and position error, to the outcomes of
// bench trials, and says where model and bench disagree.
//
// The simulation arrives as a function that gives one outcome; its chance of success is never known, only sampled. A
// smooth surrogate of that chance over the parameters, one for each bench condition but sharing what conditions have in
// common, is learned from simulated trials that close in on the posterior. DESIGN.md holds the equations that the code
// cites. Angles are radians; parameters carry whatever unit the simulation has.
package simfit
