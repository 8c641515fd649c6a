// Package chart draws an estimate, a record or a machine as SVG or PNG, in one calm style, with the same data as a table and as
// CSV beside each picture and a sentence for those who do not see it.
//
// A constructor takes plain numbers in SI units and gives a Chart; nothing is computed here that an estimate should say. NaN is
// "not known": it leaves a gap in the picture, a dash in the table and an empty cell in the CSV. Constructors panic where slices
// that belong together differ in length, which is a mistake of the program. The pictures are the same, byte for byte, for the
// same data and options.
package chart
