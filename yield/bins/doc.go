// Package bins makes a power curve of a log of wind and power by the method of bins of IEC 61400-12-1, with the rules of
// its annex for small machines: averages of a minute, sorted by wind speed into bins half a metre a second wide, each with
// the scatter and the uncertainty of its mean, and from them the energy of a year in winds of 4 to 11 m/s.
//
// The standard's formulas for normalising, for bins and for annual energy are used as they are published; its requirements
// on the data base, and the categories of uncertainty, are from memory. A log that falls short of them still gives its bins;
// the result says plainly what is missing. The package does not judge the test site: obstacles, slopes and the mast's own
// shadow are the builder's to keep out of the record, with LeaveOut.
//
// It is pure: no input or output, no clock, no randomness.
package bins
