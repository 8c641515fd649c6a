// Package harvest holds what a meter read against what an estimate promised for the same time, corrected for how windy that time was
// where a record covers it, and says whether the difference is more than chance and the estimate's own doubts allow.
//
// Times are Unix seconds. Months are those of local standard time, which has no summer time. NaN stands for what is not known.
package harvest
