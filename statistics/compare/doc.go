// Package compare answers whether one strategy or hand is better than another: by plain proportions, pair by pair, block
// by block, whole plot by whole plot, and orientation by orientation.
//
// Every answer gives the difference with an interval first, then the probability that it is real; a test's p-value is
// there for who has to report one. Designs are used as they were run: pairs and blocks sharpen a comparison, and what was
// changed only between whole plots is compared between whole plots. "A" is always the first, "B" the second; differences
// are A − B. All figures are exact or by quadrature unless a comment says otherwise.
package compare
