// Package shelter is what single trees, hedges and houses around a mast do to its wind: how much speed is lost behind
// them, direction by direction, how much turbulence they add, where no formula holds, and what the published siting rules
// say of a tower among them.
//
//	obstacles, err := shelter.FromGeometry(mast, outline, properties) // or as seen from the mast, by bearing and distance
//	mean, first, last := shelter.OverLife(obstacles, hubM, z0, 20)    // speed kept by 36 directions, while trees grow
//	rules := shelter.JudgeSiting(obstacles, hubM, rotorM, 20)         // strictest first
//
// All lengths are in m, bearings in degrees clockwise from north. A direction is where the wind comes from, so that an
// obstacle shelters the mast from winds whose direction is near its bearing. The computed loss is good to some ±30 %.
//
// What stands all over a district, rather than in one place, belongs into the ground's roughness: describe it there or
// here, not in both.
package shelter
