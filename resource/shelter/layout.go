package shelter

import (
	"math"
	"slices"
)

const (
	sectorHalf = 15.0         // degrees to either side of a direction that the mast feels
	eddyShare  = 1.0/3 - 1e-9 // share of a direction's sector that eddies must fill for a refusal
	nothingUp  = 20           // η from which on exp(−0.67·η^1.5) is nothing, below 1e-24
	step       = 360.0 / DirectionCount
)

// work holds who stands where, which neither height nor age changes, and each obstacle's deficit in each direction it
// touches, which they do.
type work struct {
	obstacles []Obstacle
	hub       float64
	logHub    float64
	z0, logZ0 [DirectionCount]float64 // where an obstacle stands
	grows     bool
	standing  []standing

	pairs     []pair // of obstacle and direction, by direction
	firstPair [DirectionCount + 1]int
	spans     []span // by direction
	firstSpan [DirectionCount + 1]int
	members   []int32 // of spans: indices of pairs

	deficit, variance []float64 // by pair
	eddy              []bool
}

// standing is an obstacle in a year.
type standing struct {
	height, solidity float64
	heights          float64 // of its own to the mast, or to the end of its eddy
	fence            fence
	inEddy, eddy     bool // in the eddy of so high a thing; and it is dense enough for one

	over, deficit, variance float64 // roughness length worked out last, and what came of it
}

// pair is an obstacle seen within the sector around a direction, in degrees from it.
type pair struct {
	obstacle, direction int
	from, to, share     float64
}

// span is an arc of a direction's sector in which one and the same obstacles stand.
type span struct {
	share       float64 // of the sector
	first, last int     // its members
}

func newWork(obstacles []Obstacle, hub float64, z0 func(int) float64) *work {
	w := &work{
		obstacles: obstacles, hub: hub, logHub: math.Log(hub), standing: make([]standing, len(obstacles)),
		pairs: make([]pair, 0, 5*len(obstacles)), spans: make([]span, 0, 7*len(obstacles)), members: make([]int32, 0, 10*len(obstacles)),
	}
	half := make([]float64, len(obstacles))
	for i, o := range obstacles {
		half[i] = o.halfAngle()
		w.grows = w.grows || o.GrowthMPerYear > 0
	}
	var ends []float64
	for d := range DirectionCount {
		w.firstPair[d], w.firstSpan[d] = len(w.pairs), len(w.spans)
		for i := range obstacles {
			off := obstacles[i].BearingDeg - step*float64(d) // more than −360, 360 at most
			switch {
			case off > 180:
				off -= 360
			case off < -180:
				off += 360
			}
			from, to := off-half[i], off+half[i]
			if from >= sectorHalf || to <= -sectorHalf {
				continue
			}
			from, to = max(from, -sectorHalf), min(to, sectorHalf)
			w.pairs = append(w.pairs, pair{i, d, from, to, (to - from) / (2 * sectorHalf)})
		}
		if len(w.pairs) > w.firstPair[d] {
			w.z0[d] = z0(d)
			w.logZ0[d] = math.Log(w.z0[d])
			ends = w.cut(d, ends)
		}
	}
	w.firstPair[DirectionCount], w.firstSpan[DirectionCount] = len(w.pairs), len(w.spans)
	n := len(w.pairs)
	numbers := make([]float64, 2*n)
	w.deficit, w.variance, w.eddy = numbers[:n:n], numbers[n:], make([]bool, n)
	return w
}

// cut divides a direction's sector where obstacles begin and end. ends is lent from call to call.
func (w *work) cut(d int, ends []float64) []float64 {
	first := w.firstPair[d]
	pairs := w.pairs[first:]
	if len(pairs) == 1 {
		w.members = append(w.members, int32(first))
		w.spans = append(w.spans, span{pairs[0].share, len(w.members) - 1, len(w.members)})
		return ends
	}
	ends = ends[:0]
	for _, p := range pairs {
		ends = append(ends, p.from, p.to)
	}
	slices.Sort(ends)
	for i := 1; i < len(ends); i++ {
		from, to := ends[i-1], ends[i]
		if from == to {
			continue
		}
		begin := len(w.members)
		for k, p := range pairs {
			if p.from <= from && p.to >= to {
				w.members = append(w.members, int32(first+k))
			}
		}
		if len(w.members) > begin {
			w.spans = append(w.spans, span{(to - from) / (2 * sectorHalf), begin, len(w.members)})
		}
	}
	return ends
}

// year works out every pair after so many years of growth; all, or only those whose obstacle grows.
func (w *work) year(year float64, all bool) {
	for i := range w.obstacles {
		o := &w.obstacles[i]
		if !all && o.GrowthMPerYear == 0 {
			continue
		}
		h := o.HeightAt(year)
		x := max(o.DistanceM, EddyHeights*h)
		solidity := o.solidity()
		inside := inEddy(h, solidity, o.DistanceM, w.hub)
		w.standing[i] = standing{h, solidity, x / h, newFence(h, x), inside, inside && solidity >= 1-EddyPorosity,
			math.NaN(), 0, 0}
	}
	for i := range w.pairs {
		p := &w.pairs[i]
		if all || w.obstacles[p.obstacle].GrowthMPerYear != 0 {
			o, z0 := &w.standing[p.obstacle], w.z0[p.direction]
			if o.over != z0 {
				o.over = z0
				o.deficit, o.variance = w.behind(o, p.direction)
			}
			w.deficit[i], w.variance[i], w.eddy[i] = o.deficit, o.variance, o.eddy && o.height > z0
		}
	}
}

// behind is deficit and added variance, over the undisturbed speed and its square, of a fence like the obstacle.
func (w *work) behind(o *standing, d int) (deficit, variance float64) {
	z0 := w.z0[d]
	switch {
	case !(z0 > 0) || !(w.hub > z0) || math.IsNaN(o.height):
		return math.NaN(), math.NaN()
	case o.height <= z0:
		return 0, 0
	case o.inEddy:
		s := stirShare * o.solidity
		return o.solidity, s * s
	}
	at := o.fence.wake(w.hub, w.logHub, w.logZ0[d])
	if at.eta > nothingUp {
		return 0, 0
	}
	shape := at.shape()
	s := at.stir(o.solidity, o.heights, shape)
	return min(1, o.solidity*at.strength*shape), s * s
}

// directions joins the pairs into factors and turbulence.
func (w *work) directions() Shelter {
	s := open()
	for d := range DirectionCount {
		lost, variance := 0.0, 0.0
		for _, sp := range w.spans[w.firstSpan[d]:w.firstSpan[d+1]] {
			own, stirred := w.together(w.members[sp.first:sp.last])
			lost += sp.share * own
			variance += sp.share * stirred
		}
		if lost == 0 && variance == 0 {
			continue
		}
		kept := 1 - lost
		if kept < 1e-12 { // nothing but rounding
			kept = 0
		}
		s.Factor[d] = kept
		s.AddedTurbulence[d] = TurbulenceMost
		if sigma := math.Sqrt(variance); kept != 0 && !(sigma > TurbulenceMost*kept) { // NaN passes
			s.AddedTurbulence[d] = sigma / kept
		}
	}
	return s
}

// together is deficit and variance of obstacles one behind the other.
func (w *work) together(members []int32) (deficit, variance float64) {
	if len(members) == 1 {
		return w.deficit[members[0]], w.variance[members[0]]
	}
	squares, kept := 0.0, 1.0
	for _, p := range members {
		squares += w.deficit[p] * w.deficit[p]
		kept *= 1 - w.deficit[p]
		variance += w.variance[p]
	}
	return min(math.Sqrt(squares), 1-kept), variance
}

// eddyShare is how much of a direction's sector eddies fill.
func (w *work) eddyShare(d int) float64 {
	share := 0.0
	for _, sp := range w.spans[w.firstSpan[d]:w.firstSpan[d+1]] {
		for _, p := range w.members[sp.first:sp.last] {
			if w.eddy[p] {
				share += sp.share
				break
			}
		}
	}
	return share
}
