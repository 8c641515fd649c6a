// Package terrain is what the land around a mast does to the wind, by the direction it comes from: the ground it blows
// over, where that ground changes upwind, and small hills and edges the mast stands on.
//
// It sorts the round into DirectionCount directions of 10°, index 0 centred on north, clockwise; directions say where the
// wind comes from. Where a border of a sector falls inside a direction, the parts share it by angle: the direction's
// factor is the mean of the parts' factors, weighted by their degrees, as if the wind came from each of its ten degrees
// equally often.
//
// The way of the work:
//
//	faults := grounds.Faults()                              // what a user must put right first
//	factors, err := terrain.Transfer(airport, garden, 10, 18) // ground at both places, by direction
//	gains, err := terrain.ReliefFactors(relief, 18)         // what the wind gains over the hill
//
// Everything holds for neutral air, as it is in the stronger winds that carry the energy. It knows nothing of shelter
// behind single obstacles, of mountains, or of the wind's turning over them.
package terrain
