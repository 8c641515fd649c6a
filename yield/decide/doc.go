// Package decide answers what comes after an estimate: what would change the decision, whether to measure before it, and which
// tower gives the next kWh for the least money.
//
// # Measure first
//
// Measure is a preposterior analysis (Raiffa & Schlaifer 1961, Applied Statistical Decision Theory, from memory): before a mast
// is put up, nobody knows what it will show, but how far its answer may lie from today's estimate is known. So the gain from
// deciding after it, rather than today, can be worked out as a mean over all it might show. It is never negative: who measures
// may still do what today's estimate says.
//
// The long-run wind at the hub is a factor times its estimate. The factor is lognormal with mean 1, as certain of its mean as a
// source of uncertainty of mean 1 elsewhere; SpeedSD is the standard deviation of its logarithm. What measuring tells is the
// logarithm of the factor plus a normal error. All integrals are by quadrature between the points where the decision turns, so
// the answer is the same every time, and within 1e-8 of the mean size of the values at stake where these run smoothly.
//
// What is not in it: what waiting costs (energy not made meanwhile, prices that move), what is learnt beside the mean speed, and
// how much anyone dreads a loss. Value is money, and its mean decides.
//
// # What would change it
//
// Solve finds how far one number must move until wind costs no more than the alternative, Turn where it begins or ceases to.
//
// # Height by height
//
// Climb sets the money of every tower against its energy: what a further kWh costs from each to the next, which are dearer
// than another and give no more, and which lie on the frontier.
//
// NaN stands for "not known" throughout.
package decide
