// Package balance puts the blades of a rotor in the order around the hub that leaves the least imbalance, and says what is
// left and how to take it off.
//
// Blades stand at even angles around the hub. A blade's moment is its mass times the radius of its centre of gravity; the
// imbalance of a rotor is the vector sum of its blades' moments, in g·m. It makes a force that turns with the rotor,
//
//	F = m·r·ω²
//
// and shakes the mast once a turn. Only this static imbalance is dealt with: blades that do not track in one plane, or that
// stand at different pitch, shake a rotor too, and no order of masses mends that.
//
// The package is pure: no input or output, no clock, no randomness.
package balance
