package rotor

import "math"

const (
	cellCount   = 720
	cellsPerRad = cellCount / (2 * math.Pi)

	// A section in reversed flow, or upside down, lifts less; 0.7 of the lift is common practice (from memory).
	reversedLift = 0.7

	stepDeg        = 1.0  // between points of the extension
	widestStallDeg = 80.0 // tables that reach further need no stall law
	leastStallDeg  = 5.0  // tables that end nearer to 0 do not show that side's stall
)

// extend carries the table round the whole circle: Viterna's law from the last point on either side to a right angle, the
// same with reversed flow beyond, and a straight line to no lift, or to what the table says, where the trailing edge points
// into the wind.
func (p *Polar) extend() {
	first, last := p.points[0], p.points[len(p.points)-1]
	above := last
	if last.AlphaDeg > widestStallDeg || last.AlphaDeg < leastStallDeg {
		above = p.stallInside(1)
	}
	below := PolarPoint{-first.AlphaDeg, -first.Cl, first.Cd}
	switch {
	case first.AlphaDeg > -leastStallDeg:
		below = PolarPoint{above.AlphaDeg, p.reversed() * math.Abs(above.Cl), above.Cd}
	case first.AlphaDeg < -widestStallDeg:
		below = p.stallInside(-1)
	}
	backwards := math.Inf(1) // drag with the trailing edge into the wind: twice the least, or the least of a plate
	for _, q := range p.points {
		backwards = min(backwards, q.Cd)
	}
	if !p.plate {
		backwards *= 2
	}
	end := PolarPoint{180, 0, backwards}
	switch 180.0 { // the table may say it, on either side
	case last.AlphaDeg:
		end = last
	case -first.AlphaDeg:
		end = PolarPoint{180, first.Cl, first.Cd}
	}
	nodes := make([]node, 0, len(p.points)+361)
	for a := 180.0; a > max(-first.AlphaDeg, 0); a -= stepDeg {
		if q := p.beyond(a, below, backwards, PolarPoint{180, -end.Cl, end.Cd}); a >= below.AlphaDeg || a == 180 {
			nodes = append(nodes, node{alpha: -a * math.Pi / 180, cl: -q.Cl, cd: q.Cd})
		}
	}
	for _, q := range p.points {
		nodes = append(nodes, node{alpha: q.AlphaDeg * math.Pi / 180, cl: q.Cl, cd: q.Cd})
	}
	for a := math.Floor(last.AlphaDeg/stepDeg)*stepDeg + stepDeg; a <= 180; a += stepDeg {
		q := p.beyond(a, above, backwards, end)
		nodes = append(nodes, node{alpha: a * math.Pi / 180, cl: q.Cl, cd: q.Cd})
	}
	nodes[0].alpha = -math.Pi
	nodes[len(nodes)-1].alpha = math.Pi
	p.index(nodes)
}

// beyond is the extension at an angle in degrees from the stall to the end at 180, for one side of the circle, with drag of
// at least that of flow from behind.
func (p *Polar) beyond(deg float64, stall PolarPoint, backwards float64, end PolarPoint) PolarPoint {
	if deg <= 90 {
		cl, cd := Viterna(stall, p.aspectRatio, deg*math.Pi/180)
		return PolarPoint{deg, cl, max(cd, backwards)}
	}
	from := max(180-deg, stall.AlphaDeg)
	cl, cd := Viterna(stall, p.aspectRatio, from*math.Pi/180)
	cl, cd = -p.reversed()*cl, max(cd, backwards)
	if share := (180 - deg) / stall.AlphaDeg; share < 1 {
		cl, cd = end.Cl+(cl-end.Cl)*share, end.Cd+(cd-end.Cd)*share
	}
	return PolarPoint{deg, cl, cd}
}

func (p *Polar) reversed() float64 {
	if p.plate {
		return 1
	}
	return reversedLift
}

// stallInside is the point of highest lift on one side of a table that reaches far past it, mirrored to above 0. A table
// without lift on that side stalls nowhere, and 15° serves.
func (p *Polar) stallInside(side float64) PolarPoint {
	best := PolarPoint{15, 0, 0}
	for _, q := range p.points {
		q.AlphaDeg, q.Cl = side*q.AlphaDeg, side*q.Cl
		if q.AlphaDeg >= leastStallDeg && q.AlphaDeg <= 40 && q.Cl > best.Cl {
			best = q
		}
	}
	return best
}

// index takes over the nodes and prepares their lookup.
func (p *Polar) index(nodes []node) {
	for i := range nodes[:len(nodes)-1] {
		n, next := &nodes[i], nodes[i+1]
		n.clSlope = (next.cl - n.cl) / (next.alpha - n.alpha)
		n.cdSlope = (next.cd - n.cd) / (next.alpha - n.alpha)
	}
	p.nodes = nodes
	p.cells = make([]int, cellCount+1)
	i := 0
	for c := range p.cells {
		// A hair early, so that rounding in the lookup cannot land behind the node.
		for i < len(nodes)-2 && nodes[i+1].alpha < float64(c)/cellsPerRad-math.Pi-1e-9 {
			i++
		}
		p.cells[c] = i
	}
}
