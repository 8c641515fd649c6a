// Package spread says how sure an estimate is: it draws every uncertain input many times, sends each draw through the energy
// and the money of every tower height, and reads off what comes out.
//
// In the words of JCGM 101:2008 (propagation of distributions by a Monte Carlo method): each Source is an input quantity with a
// probability distribution; energy, capacity factor, cost per kWh and net present value are output quantities; a Spread holds an
// output's expectation (Mean), its standard uncertainty (SD) and two coverage intervals for a coverage probability of 95 %, the
// probabilistically symmetric one and the shortest one. The exceedance levels P50 to P99 are the trade's words for the same
// distribution: the P90 energy is exceeded with a probability of 90 %.
//
// # One year and the life
//
// What varies from year to year (Source.EveryYear) is drawn anew for each year. A Period "year" is any one year of a new
// machine, "life" the mean of its years, in which such variation shrinks with the square root of the number of years and the
// other sources do not. Costs per kWh of the life are levelised: payments and energy discounted alike.
//
// # What stays together
//
// One draw is one possible world: the same error of the wind, in the same years, at all heights, the same array, the same price.
// So the odds that one height beats another, or that wind's kWh is cheaper than solar's, are shares of worlds, and are not
// blurred by errors that the two have in common.
//
// # How it is drawn
//
// Every source has a dimension of a Sobol' net (direction numbers of Joe & Kuo 2008) under nested uniform scrambling (Owen
// 1995). A net fills the space evenly, so its error falls with the number of draws or faster, where plain sampling's falls with
// its square root; scrambling keeps each point's distribution exact. Means gain most; levels and odds, which have an edge, come
// out about twice as sharp as plain sampling at some ten thousand draws. A lattice would do as well on smooth integrands, but
// needs a generating vector for each size; a Latin hypercube alone evens out one dimension at a time and leaves the sources'
// joint effect to chance. The years after the first, many dimensions of little weight whose mean alone matters, are Latin
// hypercubes. At least eight independent nets are drawn, and the scatter of their answers gives every number's sampling
// error: a standard error with at least seven degrees of freedom, so itself known to about a quarter.
//
// # The same answer
//
// The seed alone decides the numbers: each net has its own stream, sums run in a fixed order, and the number of workers
// changes nothing. One build gives the same bytes every time. Another kind of processor may differ in the last digits, since
// compilers there join multiplication and addition, and exp and log differ; the encoder's ten digits hide that nearly always.
package spread
