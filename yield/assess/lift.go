package assess

import (
	"mastworth/resource"
	"mastworth/resource/terrain"
)

// directions is a number for every 10 degrees of wind direction, north first.
type directions = [terrain.DirectionCount]float64

// lift is what happens to every speed on its way from the sensor to a hub: one factor, or one by month, direction and by
// night (0) and day (1).
type lift struct {
	all float64
	by  *[12][terrain.DirectionCount][2]float64 // nil where one factor serves all
}

// split turns one factor for all into classes.
func (l *lift) split() {
	if l.by != nil {
		return
	}
	l.by = new([12][terrain.DirectionCount][2]float64)
	for m := range l.by {
		for d := range l.by[m] {
			l.by[m][d] = [2]float64{l.all, l.all}
		}
	}
}

// scale takes a factor by direction into every class.
func (l *lift) scale(factors *directions) {
	l.split()
	for m := range l.by {
		for d, f := range factors {
			l.by[m][d][0] *= f
			l.by[m][d][1] *= f
		}
	}
}

// at is the factor for a sample.
func (l *lift) at(month, direction uint8, when hours) float64 {
	if l.by == nil {
		return l.all
	}
	c := &l.by[month][direction]
	if when == allHours {
		return (c[0] + c[1]) / 2
	}
	return c[when]
}

// hours are those of a sample: night, day, or all of them where its step is too long to tell.
type hours uint8

const (
	night hours = iota
	day
	allHours
)

// sectorOf is the sector, of 12, that holds a direction of 36.
func sectorOf(direction int) int { return (direction + 1) / 3 % resource.SectorCount }

// part is a share of the time in which one factor holds.
type part struct{ share, factor float64 }

// parts are the factors of a lift for wind that has no times, by a rose of 36 shares, some of them above 0; equal neighbours
// are taken together.
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

// dealer deals directions out by a rose, evenly: after any number of them each direction has had its share.
type dealer struct {
	upTo directions // of the rose, summed
	at   float64
}

func newDealer(rose *directions) *dealer {
	d := &dealer{at: 0.5}
	sum := 0.0
	for i, share := range rose {
		sum += share
		d.upTo[i] = sum
	}
	return d
}

// goldenShare is the fractional part of the golden ratio, whose multiples fill an interval most evenly.
const goldenShare = 0.6180339887498949

func (d *dealer) next() uint8 {
	d.at += goldenShare
	if d.at >= 1 {
		d.at--
	}
	last := len(d.upTo) - 1
	for i := range last {
		if d.at*d.upTo[last] < d.upTo[i] {
			return uint8(i)
		}
	}
	return uint8(last)
}
