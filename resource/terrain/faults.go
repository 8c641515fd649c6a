package terrain

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

// Walls of what can be ground around a mast.
const (
	smoothestM   = 1e-5 // roughness length, m: ice is 1e-5
	roughestM    = 5    // roughness length, m: a city of towers
	tallestM     = 60   // displacement height, m: a closed wood of 85 m
	farthestM    = 20e3 // change of ground, m: beyond it the internal layer is the whole surface layer
	mostOfARound = DirectionCount * 10
)

// Fault is something a user must put right in a description.
type Fault struct {
	// Index is the place in the list of patches or of relief, from 0; −1 is the ground everywhere, or the list itself.
	Index int

	// Field is what is at fault there, in snake_case: from_deg, to_deg, roughness_m, displacement_m, change_at_m,
	// beyond.roughness_m, beyond.displacement_m; shape, height_m, half_length_m. Empty: the list itself.
	Field string

	// Reason says what is wrong, with the numbers, and what would be right.
	Reason string
}

// String is the fault with its place.
func (f Fault) String() string {
	switch {
	case f.Field == "":
		return f.Reason
	case f.Index < 0:
		return "everywhere, " + f.Field + ": " + f.Reason
	}
	return fmt.Sprintf("[%d].%s: %s", f.Index, f.Field, f.Reason)
}

// Faults lists what is wrong with a description: the patches' in their order, then the overlaps. It is empty for grounds
// that Prepare takes.
func (g Grounds) Faults() []Fault {
	if n := len(g.Patches); n > mostOfARound {
		return []Fault{{-1, "", fmt.Sprintf("there are %d sectors; at most %d are taken: join those of like ground", n, mostOfARound)}}
	}
	faults := groundFaults(nil, -1, "", g.Everywhere)
	for i, p := range g.Patches {
		faults = arcFaults(faults, i, p.FromDeg, p.ToDeg)
		faults = groundFaults(faults, i, "", p.Ground)
		faults = p.changeFaults(faults, i)
	}
	return overlapFaults(faults, len(g.Patches), func(i int) [2]float64 {
		return [2]float64{g.Patches[i].FromDeg, g.Patches[i].ToDeg}
	})
}

func (p Patch) changeFaults(faults []Fault, i int) []Fault {
	switch {
	case math.IsNaN(p.ChangeAtM):
		if p.Beyond != nil {
			faults = append(faults, Fault{i, "change_at_m", "the ground beyond the change is given, but not how far upwind the change is; " +
				"give its distance from the mast, or leave the ground beyond away"})
		}
		return faults
	case !(p.ChangeAtM > 0 && p.ChangeAtM <= farthestM):
		faults = append(faults, Fault{i, "change_at_m", fmt.Sprintf("the ground changes %g m upwind of the mast; the distance must be above 0 "+
			"and at most %g m: leave it away where the ground reaches further", p.ChangeAtM, float64(farthestM))})
	}
	if p.Beyond != nil {
		faults = groundFaults(faults, i, "beyond.", *p.Beyond)
	}
	return faults
}

func groundFaults(faults []Fault, i int, of string, g resource.Ground) []Fault {
	if !(g.RoughnessM >= smoothestM && g.RoughnessM <= roughestM) {
		faults = append(faults, Fault{i, of + "roughness_m", fmt.Sprintf("a roughness length of %g m is not that of any ground; "+
			"it is %g m over ice to %g m in a city of towers, about a tenth of the height of what stands there",
			g.RoughnessM, smoothestM, float64(roughestM))})
	}
	if !(g.DisplacementM >= 0 && g.DisplacementM <= tallestM) {
		faults = append(faults, Fault{i, of + "displacement_m", fmt.Sprintf("a displacement height of %g m is not that of any ground; "+
			"it is 0 over open ground and about 0.7 of the height of a closed cover, at most %g m", g.DisplacementM, float64(tallestM))})
	}
	return faults
}

// arcFaults are those of one sector's borders.
func arcFaults(faults []Fault, i int, from, to float64) []Fault {
	before := len(faults)
	for _, border := range [...]struct {
		field string
		deg   float64
	}{{"from_deg", from}, {"to_deg", to}} {
		if !(border.deg >= 0 && border.deg <= 360) {
			faults = append(faults, Fault{i, border.field,
				fmt.Sprintf("%g is not a direction; give 0 to 360 degrees clockwise from north", border.deg)})
		}
	}
	if len(faults) == before && spanDeg(from, to) == 0 {
		faults = append(faults, Fault{i, "to_deg",
			fmt.Sprintf("the sector from %s to %s is empty; the whole round is 0 to 360", degrees(from), degrees(to))})
	}
	return faults
}

// overlapFaults are those of pairs of sectors; sectors whose own borders are at fault are left out.
func overlapFaults(faults []Fault, n int, arc func(i int) [2]float64) []Fault {
	var buffer [DirectionCount]placedArc
	arcs := buffer[:0]
	for i := range n {
		b := arc(i)
		if !goodArc(b) {
			continue
		}
		placed := placedArc{i, b, spanDeg(b[0], b[1])}
		for j := range arcs {
			if arcs[j].overlaps(&placed) {
				faults = append(faults, arcs[j].overlapFaults(placed)...)
			}
		}
		arcs = append(arcs, placed)
	}
	return faults
}

// placedArc is a sector with its place in the list.
type placedArc struct {
	index int
	arc   [2]float64
	span  float64
}

func (a *placedArc) overlaps(b *placedArc) bool {
	start := clockwise(a.arc[0], b.arc[0])
	return a.span-start > angleDust || start+b.span-360 > angleDust
}

func (a *placedArc) overlapFaults(b placedArc) (faults []Fault) {
	parts, n := overlapDeg(a.arc, b.arc)
	for _, part := range parts[:n] {
		faults = append(faults, Fault{b.index, "from_deg", fmt.Sprintf("the sectors [%d] (%s to %s) and [%d] (%s to %s) overlap "+
			"from %s to %s; let one end where the other begins", a.index, degrees(a.arc[0]), degrees(a.arc[1]),
			b.index, degrees(b.arc[0]), degrees(b.arc[1]), degrees(part[0]), degrees(part[1]))})
	}
	return faults
}

func goodArc(arc [2]float64) bool {
	return arc[0] >= 0 && arc[0] <= 360 && arc[1] >= 0 && arc[1] <= 360 && spanDeg(arc[0], arc[1]) > 0
}

// Gaps lists the sectors without a patch, which take the ground everywhere, as from and to, degrees clockwise: one that
// crosses north is, say, 350 to 30. They come in the order of the patches they follow, clockwise from north. It is nil
// where there are no patches at all, and where they close the round. Patches with faults in their borders are left out.
func (g Grounds) Gaps() [][2]float64 {
	arcs := make([][2]float64, 0, len(g.Patches))
	for _, p := range g.Patches {
		if arc := [2]float64{math.Mod(p.FromDeg, 360), p.ToDeg}; goodArc([2]float64{p.FromDeg, p.ToDeg}) {
			arcs = append(arcs, arc)
		}
	}
	if len(arcs) == 0 {
		return nil
	}
	slices.SortFunc(arcs, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	// The end that reaches furthest so far, counted on from the first sector's beginning; sectors may overlap.
	first := arcs[0][0]
	reached := 0.0
	var gaps [][2]float64
	for _, arc := range arcs {
		if start := arc[0] - first; start-reached > angleDust {
			gaps = append(gaps, [2]float64{wrapDeg(first + reached), arc[0]})
		}
		reached = math.Max(reached, arc[0]-first+spanDeg(arc[0], arc[1]))
	}
	if 360-reached > angleDust {
		last := [2]float64{wrapDeg(first + reached), first}
		if first == 0 {
			last[1] = 360
		}
		gaps = append(gaps, last)
	}
	return gaps
}
