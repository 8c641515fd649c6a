package decide

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

const (
	// reach is how many standard deviations to either side are looked at: what lies beyond has a probability of 2e-19.
	reach = 9.0
	// points is the number of Gauss–Legendre points in a panel.
	points = 8
	// fine is the error one panel may have, as a share of the mean size of the values.
	fine = 1e-11
	// mostPanels bounds the work where a Value jumps about at random.
	mostPanels = 4000
	// narrowest is how far panels may be halved, in standard deviations: at a jump the error is this times the jump.
	narrowest = 1e-12
)

// legendre are the points of a panel from 0 to 1, rising, and their weights.
var legendre = func() (l [points]struct{ x, w float64 }) {
	var x, w [points]float64
	quad.Legendre{}.FixedLocations(x[:], w[:], 0, 1)
	for i := range l {
		l[i].x, l[i].w = x[i], w[i]
	}
	slices.SortFunc(l[:], func(a, b struct{ x, w float64 }) int { return cmp.Compare(a.x, b.x) })
	return l
}()

// panel is a piece of the prior: places, in standard deviations, and at each the Value times its weight and density.
type panel struct {
	from, to float64
	z, mass  [points]float64
	sum      float64
}

// belief is what is known today of the wind, and the Value under it. In it z is standard normal.
type belief struct {
	value        func(factor float64) float64
	sd, keeps    float64
	panels       []panel
	tolerance    float64
	turns        []float64 // where Value changes its sign, rising
	mean         float64   // of Value
	gains        float64   // mean of Value where it is above 0, else 0
	losses       float64   // mean of −Value where it is below 0, else 0
	above, below float64   // probabilities that it is
	bad          float64   // the first factor at which Value was no number; 0 for none
}

func newBelief(p *Prospect) *belief {
	b := &belief{value: p.Value, sd: p.SpeedSD, keeps: p.Keeps}
	if b.sd == 0 {
		b.certain()
		return b
	}
	first := make([]panel, int(2*reach))
	size := 0.0
	for i := range first {
		from := float64(i) - reach
		first[i] = b.panel(from, from+1)
		for _, m := range first[i].mass {
			size += math.Abs(m)
		}
	}
	if b.bad != 0 {
		return b
	}
	b.tolerance = fine * size
	b.panels = make([]panel, 0, 4*len(first))
	for i := range first {
		b.settle(&first[i])
	}
	b.turn()
	b.tally()
	return b
}

// certain is a belief without a doubt.
func (b *belief) certain() {
	v := b.at(0)
	b.mean = v
	switch {
	case v > 0:
		b.gains, b.above = v, 1
	case v < 0:
		b.losses, b.below = -v, 1
	}
}

// at is the Value at a place in standard deviations. The factor's mean is 1, so its logarithm's is −sd²/2.
func (b *belief) at(z float64) float64 {
	factor := math.Exp(b.sd * (z - b.sd/2))
	v := b.value(factor)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		if b.bad == 0 {
			b.bad = factor
		}
		return 0
	}
	return v
}

// density is the standard normal one.
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// upTo is the standard normal distribution.
func upTo(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

func (b *belief) panel(from, to float64) panel {
	p := panel{from: from, to: to}
	width := to - from
	for i := range points {
		z := from + width*legendre[i].x
		p.z[i] = z
		p.mass[i] = b.at(z) * density(z) * legendre[i].w * width
		p.sum += p.mass[i]
	}
	return p
}

// settle keeps a panel, or the halves of it where they tell something else than the whole.
func (b *belief) settle(p *panel) {
	middle := (p.from + p.to) / 2
	left, right := b.panel(p.from, middle), b.panel(middle, p.to)
	if math.Abs(left.sum+right.sum-p.sum) <= b.tolerance || len(b.panels) >= mostPanels || p.to-p.from < narrowest {
		b.panels = append(b.panels, left, right)
		return
	}
	b.settle(&left)
	b.settle(&right)
}

// turn finds where Value changes its sign and parts the panels there.
func (b *belief) turn() {
	parted := make([]panel, 0, len(b.panels)+8)
	lastZ, last := b.panels[0].z[0], b.panels[0].mass[0]
	for k := range b.panels {
		p := &b.panels[k]
		before := len(b.turns)
		for i, m := range p.mass {
			if (m < 0) != (last < 0) {
				onLast, onThis := root(b.at, lastZ, last, p.z[i], m, 1e-15)
				b.turns = append(b.turns, (onLast+onThis)/2)
			}
			lastZ, last = p.z[i], m
		}
		parted = b.part(parted, p, b.turns[before:])
	}
	b.panels = parted
}

// part cuts a panel, or the one before it, at turns.
func (b *belief) part(panels []panel, p *panel, turns []float64) []panel {
	panels = append(panels, *p)
	for _, z := range turns {
		k := len(panels) - 1
		for k > 0 && panels[k].from > z {
			k--
		}
		q := panels[k]
		if !(z > q.from && z < q.to) {
			continue
		}
		panels = append(panels, panel{})
		copy(panels[k+2:], panels[k+1:])
		panels[k], panels[k+1] = b.panel(q.from, z), b.panel(z, q.to)
	}
	return panels
}

// tally sums what the panels hold. Each lies on one side of all turns.
func (b *belief) tally() {
	for i := range b.panels {
		p := &b.panels[i]
		b.mean += p.sum
		switch chance := upTo(p.to) - upTo(p.from); {
		case p.sum > 0:
			b.gains += p.sum
			b.above += chance
		case p.sum < 0:
			b.losses -= p.sum
			b.below += chance
		}
	}
}
