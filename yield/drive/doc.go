// Package drive turns a rotor into a machine: gearing, a permanent-magnet generator, a load, the wire to it and furling.
// For each wind it finds the steady rotor speed, where the wind's torque equals the torque asked of the rotor, says where
// every watt goes, and from that makes a power curve. It also sweeps gearings, windings and battery voltages for a site's
// wind, and says what holds each of them back.
//
// The generator is the direct-current machine of the textbooks behind a rectifier:
//
//	E = K ω,  V = E − I R − V_diode,  torque = K I
//
// with K in V·s/rad, which is the same number in N·m/A. The rectifier stands at the machine and the wire carries direct
// current. The rotor comes in as torque and thrust coefficients over the tip-speed ratio (Aero).
//
// Not modelled: the inductance of the winding, which makes voltage sag and the short-circuit brake weaken at high speed;
// the winding's warming, so give its resistance hot; gusts and inertia. Speeds are steady ones.
//
// Winds and tip speeds are in m/s, angular speeds in rad/s unless the name says RPM, powers in W. It is pure: no input or
// output, no clock.
package drive
