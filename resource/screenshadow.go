package resource

import (
	"fmt"
	"math"
)

// What counts as mast shadow. A mast takes a bite of some tens of degrees out of the ratio of two speed sensors at one
// height, at the same directions all the time. Medians are taken, so that a frozen spell makes no shadow, and the bite
// must be there in the first half of the record as in the second. Judgement.
var shadowLimits = []Limit{
	{"mast_shadow.deficit", 0.05, "", 0.01, 0.9, "how much less the sensor reads in the shadow, as a share"},
	{"mast_shadow.least_m_s", 4, "m/s", 0, 20, "speed from which the two are compared"},
	{"mast_shadow.fewest_values", 25, "", 5, 100000, "values needed in 10° of direction, in each half of the record"},
	{"mast_shadow.widest_deg", 90, "°", 10, 180, "widest shadow: what is wider has another cause, and is left alone"},
	{"mast_shadow.height_share", 0.1, "", 0, 0.5, "how much the heights of the two differ at most, as a share of the upper"},
}

// The places of shadowLimits.
const (
	shadowDeficit = iota
	shadowLeast
	shadowFewest
	shadowWidest
	shadowHeights
)

const (
	shadowSectors = 36  // of 10°
	shadowCells   = 400 // of the contrast (a − b)/(a + b), over ±shadowReach
	shadowReach   = 0.5 // a third to three times
)

// sameHeight reports whether two channels are at about one height, both known.
func sameHeight(a, b *Channel, share float64) bool {
	return math.Abs(a.HeightM-b.HeightM) <= share*max(a.HeightM, b.HeightM) // false for NaN
}

// findShadow looks at every two speed sensors of about one height.
func findShadow(x *screening) {
	speeds := x.s.SpeedChannels()
	for k, i := range speeds {
		for _, j := range speeds[k+1:] {
			a, b := &x.s.Channels[i], &x.s.Channels[j]
			if vane := x.s.Find(Direction, a.HeightM); vane >= 0 && sameHeight(a, b, x.limits[shadowHeights]) {
				x.shadowOf(i, j, vane)
			}
		}
	}
}

// contrasts counts, by direction, how the ratio of two sensors is spread, and so finds medians in one pass.
type contrasts struct {
	n    [shadowSectors]int
	cell [shadowSectors][shadowCells]int32
}

// median is the median ratio a/b from a sector; NaN below fewest values.
func (c *contrasts) median(sector, fewest int) float64 {
	n := c.n[sector]
	if n < fewest {
		return math.NaN()
	}
	rank, below := float64(n)/2, 0.0
	for k, m := range c.cell[sector] {
		if in := float64(m); below+in >= rank && in > 0 {
			d := (float64(k)+(rank-below)/in)*(2*shadowReach/shadowCells) - shadowReach
			return (1 + d) / (1 - d)
		}
		below += float64(m)
	}
	return math.NaN()
}

// shadowOf compares two sensors by direction and marks the values of the one that is shadowed.
func (x *screening) shadowOf(i, j, vane int) {
	a, b, d := &x.s.Channels[i], &x.s.Channels[j], &x.s.Channels[vane]
	least := x.limits[shadowLeast]
	halves := new([2]contrasts)
	n := len(a.Values)
	for r := range n {
		v, w := a.Values[r], b.Values[r]
		if !(v+w >= 2*least) || !a.Usable(r) || !b.Usable(r) || !d.Usable(r) {
			continue
		}
		k := int(((v-w)/(v+w) + shadowReach) * (shadowCells / (2 * shadowReach)))
		h := &halves[2*r/n]
		sector := SectorOf(d.Values[r], shadowSectors)
		if sector < 0 { // an infinite direction, with range off
			continue
		}
		h.n[sector]++
		h.cell[sector][min(max(k, 0), shadowCells-1)]++
	}
	var ratio [2][shadowSectors]float64
	var all []float64
	for h := range halves {
		for k := range shadowSectors {
			ratio[h][k] = halves[h].median(k, int(x.limits[shadowFewest]))
			if !math.IsNaN(ratio[h][k]) {
				all = append(all, ratio[h][k])
			}
		}
	}
	if len(all) < shadowSectors/2 { // too few directions to tell what is usual
		return
	}
	usual := medianOf(all)
	x.shadows(i, j, vane, func(k int) float64 { return max(ratio[0][k], ratio[1][k]) / usual })
	x.shadows(j, i, vane, func(k int) float64 { return usual / min(ratio[0][k], ratio[1][k]) })
}

// shadows finds runs of sectors from which a channel reads less, compared with the other and with what is usual.
func (x *screening) shadows(channel, other, vane int, ratio func(sector int) float64) {
	var in [shadowSectors]bool
	clear := -1
	for k := range in {
		in[k] = ratio(k) <= 1-x.limits[shadowDeficit] // false for NaN
		if !in[k] {
			clear = k
		}
	}
	if clear < 0 {
		return
	}
	for k := 1; k <= shadowSectors; k++ {
		from := (clear + k) % shadowSectors
		if !in[from] {
			continue
		}
		width, deepest := 0, 1.0
		for ; in[(from+width)%shadowSectors]; width++ {
			deepest = min(deepest, ratio((from+width)%shadowSectors))
		}
		k += width
		if float64(width)*360/shadowSectors <= x.limits[shadowWidest] {
			x.flagShadow(channel, other, vane, from, width, deepest)
		}
	}
}

// flagShadow marks a channel's values while the wind comes from width sectors from one on.
func (x *screening) flagShadow(channel, other, vane, from, width int, deepest float64) {
	c, d := &x.s.Channels[channel], &x.s.Channels[vane]
	var in [shadowSectors]bool
	for k := range width {
		in[(from+k)%shadowSectors] = true
	}
	count, first, last := 0, -1, -1
	for r := range c.Values {
		if !c.Usable(r) || !d.Usable(r) {
			continue
		}
		if sector := SectorOf(d.Values[r], shadowSectors); sector < 0 || !in[sector] {
			continue
		}
		if count == 0 {
			first = r
		}
		if m := len(x.marks) - 1; count > 0 && last == r-1 && x.marks[m].channel == channel {
			x.marks[m].to = r
		} else {
			x.marks = append(x.marks, mark{channel, r, r})
		}
		count, last = count+1, r
	}
	if count == 0 {
		return
	}
	low := math.Mod(float64(from)*10+355, 360)
	x.add(Finding{
		Channel: c.Name, Index: channel, FromUnix: x.s.Times[first], ToUnix: x.s.Times[last], Count: count, Action: ActionFlagged,
		Detail: fmt.Sprintf("with wind from %g° to %g° it reads up to %.0f %% less beside %q than from elsewhere: the mast shadows it",
			low, math.Mod(low+float64(width)*10, 360), 100*(1-deepest), x.s.Channels[other].Name),
	})
}
