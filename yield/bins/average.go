package bins

import "math"

// periods are the averages of a log, one an averaging period that holds enough.
type periods struct {
	starts []int64
	speed  []float64 // at the hub, m/s
	power  []float64 // as made, W
	first  []int32   // first row and the row after the last
	after  []int32

	thin, silent, wild int // periods that hold too little, rows without wind or power, rows with an impossible one
}

// enoughShare of a period's rows must hold both wind and power.
const enoughShare = 0.9

// average gathers a log's rows into periods that begin at whole multiples of the averaging period.
func average(l *Log, watts []float64, averagingS int64, lift float64) *periods {
	n := len(l.Times)
	perPeriod := int(averagingS / l.StepS)
	room := n/perPeriod + 2
	p := &periods{starts: make([]int64, 0, room), speed: make([]float64, 0, room), power: make([]float64, 0, room),
		first: make([]int32, 0, room), after: make([]int32, 0, room)}
	need := max(1, int(math.Ceil(enoughShare*float64(perPeriod))))
	for i := 0; i < n; {
		start := l.Times[i] - mod(l.Times[i], averagingS)
		end := start + averagingS
		v, w, held := 0.0, 0.0, 0
		first := i
		for ; i < n && l.Times[i] < end; i++ {
			speed, watt := l.SpeedMS[i], watts[i]
			switch {
			case speed != speed || watt != watt:
				p.silent++
			case speed < 0 || speed > maxSpeedMS || math.Abs(watt) > math.MaxFloat32:
				p.wild++
			default:
				v += speed
				w += watt
				held++
			}
		}
		if held < need {
			if perPeriod > 1 {
				p.thin++
			}
			continue
		}
		p.starts = append(p.starts, start)
		p.speed = append(p.speed, v/float64(held)*lift)
		p.power = append(p.power, w/float64(held))
		p.first = append(p.first, int32(first))
		p.after = append(p.after, int32(i))
	}
	return p
}

// mod is the remainder that is never below 0.
func mod(a, b int64) int64 {
	m := a % b
	if m < 0 {
		m += b
	}
	return m
}

// bearing is the mean direction of rows from and up to to as unit vectors, degrees; NaN where none is known or they cancel.
func bearing(directions []float64, from, to int) float64 {
	if to-from == 1 {
		return directions[from]
	}
	x, y := 0.0, 0.0
	for _, d := range directions[from:to] {
		if d == d {
			sin, cos := math.Sincos(d * math.Pi / 180)
			x += cos
			y += sin
		}
	}
	if math.Hypot(x, y) < 1e-9 {
		return math.NaN()
	}
	return math.Atan2(y, x) * 180 / math.Pi
}
