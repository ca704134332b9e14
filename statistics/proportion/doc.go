// Package proportion gives honest intervals for a success probability from counts,
// and for the difference of two.
//
// Every interval names its method, because the methods differ in what they
// promise: [ClopperPearson] never covers less often than it says, at the price of
// width; [Wilson] and [Jeffreys] are right on average over the probability;
// [AgrestiCoull] is Wilson's recipe for the back of an envelope. The textbook
// interval p̂ ± z·√(p̂(1−p̂)/n) is left out on purpose: at 50 of 50 it has no width.
package proportion
