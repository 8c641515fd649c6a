package assess

import (
	"mastworth/resource"
	"mastworth/resource/terrain"
)

// directions is a number for every 10 degrees of wind direction, north first.
type directions = [terrain.DirectionCount]float64

// noDirection is the place in a lift of speeds whose direction is unknown.
const noDirection = terrain.DirectionCount

// lift is what happens to every speed on its way from the sensor to a hub: one factor, or one by month, direction (every 10
// degrees, north first; the last is no direction) and by night (0) and day (1).
type lift struct {
	all float64
	by  *[12][noDirection + 1][2]float64 // nil where one factor serves all
}

// newLift is a lift by classes, with the same factor in all of them.
func newLift(factor float64) lift {
	l := lift{all: factor, by: new([12][noDirection + 1][2]float64)}
	for m := range l.by {
		for d := range l.by[m] {
			l.by[m][d] = [2]float64{factor, factor}
		}
	}
	return l
}

// split turns one factor for all into classes.
func (l *lift) split() {
	if l.by == nil {
		*l = newLift(l.all)
	}
}

// scale takes a factor by direction into every class; where the direction is unknown, its mean over the rose.
func (l *lift) scale(factors, rose *directions) {
	l.split()
	unknown := 0.0
	for d, f := range factors {
		unknown += rose[d] * f
	}
	for m := range l.by {
		for d := range l.by[m] {
			f := unknown
			if d < noDirection {
				f = factors[d]
			}
			l.by[m][d][0] *= f
			l.by[m][d][1] *= f
		}
	}
}

// at is the factor for a sample.
func (l *lift) at(month, direction uint8, day bool) float64 {
	if l.by == nil {
		return l.all
	}
	when := 0
	if day {
		when = 1
	}
	return l.by[month][direction][when]
}

// sectorOf is the sector, of 12, that holds a direction of 36.
func sectorOf(direction int) int { return (direction + 1) / 3 % resource.SectorCount }

// part is a share of the time in which one factor holds.
type part struct{ share, factor float64 }

// parts are the factors of a lift for wind that has no times, by a rose of 36 shares, some of them above 0; equal neighbours are taken together.
func (l *lift) parts(rose *directions) []part {
	if l.by == nil {
		return []part{{1, l.all}}
	}
	var out []part
	for d, share := range rose {
		if share == 0 {
			continue
		}
		factor := l.by[0][d][0]
		if n := len(out); n > 0 && out[n-1].factor == factor {
			out[n-1].share += share
			continue
		}
		out = append(out, part{share, factor})
	}
	return out
}

// roseOf spreads twelve shares over 36 directions, or takes all alike where there are none.
func roseOf(shares []float64) *directions {
	var out directions
	sum := 0.0
	for _, s := range shares {
		sum += s
	}
	for d := range out {
		out[d] = 1.0 / terrain.DirectionCount
		if sum > 0 {
			out[d] = shares[sectorOf(d)] / sum / 3
		}
	}
	return &out
}
