package bins

import (
	"math"

	"mastworth/yield"
)

// Bins are half a metre a second wide, centred on the multiples of it.
const (
	binWidthMS = 0.5
	binsPerMS  = 2
	mostBins   = 2*binsPerMS*maxSpeedMS + 1 // a sensor lifted to its hub may double the wind
)

// tally is what a bin adds up. Powers are taken less the bin's first, so that squares keep their digits.
type tally struct {
	n            int
	speed        float64
	base         float64
	sum, squares float64
	idle         int // periods without power
}

func (t *tally) add(speed, watts float64) {
	if t.n == 0 {
		t.base = watts
	}
	t.n++
	t.speed += speed
	d := watts - t.base
	t.sum += d
	t.squares += d * d
	if watts <= 0 {
		t.idle++
	}
}

// power is the mean and the standard deviation with N−1, NaN below two.
func (t *tally) power() (mean, sd float64) {
	n := float64(t.n)
	mean = t.base + t.sum/n
	if t.n < 2 {
		return mean, math.NaN()
	}
	return mean, math.Sqrt(max(0, t.squares-t.sum*t.sum/n) / (n - 1))
}

// gathered is what the periods add up to.
type gathered struct {
	tallies            [mostBins]tally
	used               int
	density            float64 // sum
	sector, undirected int     // periods left out for their direction
	beyond             int     // periods with more wind than there are bins for

}

// normalise brings a period to the reference density (IEC 61400-12-1): the power of passive machines, the speed of those that
// turn their blades.
//
//	P_n = P·ρ0/ρ    V_n = V·(ρ/ρ0)^(1/3)
func normalise(speed, watts, density, reference float64, r yield.Regulation) (float64, float64) {
	if r == yield.Pitch {
		return speed * math.Cbrt(density/reference), watts
	}
	return speed, watts * reference / density
}

// gather sorts periods into bins.
func gather(p *periods, a *atmosphere, o *Options) *gathered {
	g := &gathered{}
	for i, speed := range p.speed {
		from, to := int(p.first[i]), int(p.after[i])
		if len(o.LeaveOut) > 0 {
			d := bearing(a.log.DirectionDeg, from, to)
			if math.IsNaN(d) || math.IsInf(d, 0) {
				g.undirected++
				continue
			}
			if o.leftOut(d) {
				g.sector++
				continue
			}
		}
		density := a.density(from, to)
		v, w := normalise(speed, p.power[i], density, o.ReferenceDensity, o.Regulation)
		k := int(v*binsPerMS + 0.5)
		if k >= mostBins {
			g.beyond++
			continue
		}
		g.tallies[k].add(v, w)
		g.used++
		g.density += density
	}
	return g
}

// wind is the power of the wind through the rotor at the reference density, W.
func (o *Options) wind(speed float64) float64 {
	return 0.5 * o.ReferenceDensity * math.Pi / 4 * o.RotorDiameterM * o.RotorDiameterM * speed * speed * speed
}

// bins are the tallies worked out, from the first with data to the last.
func (g *gathered) bins(o *Options, needMinutes float64) []Bin {
	first, last := -1, -1
	for k := range g.tallies {
		if g.tallies[k].n > 0 {
			if first < 0 {
				first = k
			}
			last = k
		}
	}
	out := make([]Bin, 0, last-first+1)
	for k := first; k <= last; k++ {
		t := &g.tallies[k]
		nan := math.NaN()
		b := Bin{CentreMS: float64(k) * binWidthMS, SpeedMS: nan, PowerW: nan, SDW: nan, UncertaintyAW: nan, UncertaintyBW: nan, Cp: nan, N: t.n}
		if t.n > 0 {
			b.SpeedMS = t.speed / float64(t.n)
			b.PowerW, b.SDW = t.power()
			b.UncertaintyAW = b.SDW / math.Sqrt(float64(t.n))
			b.Minutes = float64(t.n) * float64(o.AveragingS) / 60
			if b.SpeedMS > 0 {
				b.Cp = b.PowerW / o.wind(b.SpeedMS)
			}
			b.Complete = b.Minutes >= needMinutes
		}
		out = append(out, b)
	}
	return out
}
