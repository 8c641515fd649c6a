// Package rotor works out what a wind rotor takes from the wind: power, torque and thrust over the tip-speed ratio, by
// blade-element momentum theory (Glauert 1935) with Prandtl's loss at tip and hub, the rotation of the wake, and Buhl's
// thrust at high induction (NREL/TP-500-36834, 2005). Sections come as tables of lift and drag, carried past the stall by
// Viterna and Corrigan (1982).
//
// Angles of a blade are counted from the plane of rotation, above 0 where the leading edge turns into the wind: a blade
// has its largest twist at the root. The model is steady, in uniform wind along the axis, without cone, yaw or the
// dynamics of stall; static stall figures give too little torque where a blade is deeply stalled.
package rotor
