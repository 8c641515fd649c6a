// Package machine works out a whole home-built wind machine: rotor, generator, gear, load, wire and furling become one power
// curve, with the torque and the books behind it. It joins yield/rotor and yield/drive, which do not know each other, and sets
// a curve that was designed beside one that was measured.
//
// A rotor's coefficients hang on the wind through the Reynolds number of its blades. drive asks for them over the tip-speed
// ratio alone, so each wind is solved here with coefficients of its own. A plate's friction goes with 1/√Re (Blasius 1908),
// and torque answers to a little drag in a straight line; so coefficients are nearly straight in 1/√V, and tables at three
// winds, 2, 8 and 25 m/s, are enough: between them the power coefficient is good to a hundredth of its best. A section given as a table of lift and drag holds for one Reynolds number and needs
// one table.
//
// Winds are in m/s, powers in W. It is pure: no input or output, no clock.
package machine
