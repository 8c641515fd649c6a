package rotor

import (
	"fmt"
	"math"
)

// MaxCamber is the deepest curve of a plate that CurvedPlate takes, as a share of the chord.
const MaxCamber = 0.15

// The two-dimensional thin plate at a Reynolds number of 100 000, from memory of the published ranges: lift rises by 0.1 a
// degree, reaches 0.7 to 0.8 at 8 to 12° and falls off softly; the least drag is 0.015 to 0.02. A circular arc of 5 to 6 %
// reaches 1.2 to 1.3 and a best lift over drag of 25 to 50. A sharp leading edge fixes where the flow separates, so lift is
// taken not to depend on the Reynolds number; drag does through friction.
const (
	plateLiftPerDeg  = 0.1
	plateHighestLift = 0.75
	plateLeastDrag   = 0.016
	camberLift       = 9.0  // highest lift gained per share of camber
	camberLiftLost   = 6.0  // and lost upside down
	leastUpsideDown  = 0.35 // highest lift upside down, at any camber
	camberDrag       = 0.07
	idealDegPerShare = 36.0 // angle of smooth entry over the leading edge
)

// plateLift is lift over its highest, against the lift of attached flow over the highest.
var plateLift = [][2]float64{{0, 0}, {0.533, 0.533}, {0.8, 0.773}, {1.067, 0.933}, {1.333, 1}, {1.6, 0.96}}

// plateDrag is the drag over the least, against the degrees away from smooth entry: suction at the leading edge is lost.
var plateDrag = [][2]float64{{0, 0}, {2, 0.003}, {4, 0.014}, {6, 0.036}, {8, 0.072}, {10, 0.119}, {12, 0.149}, {30, 0.6}}

// FlatPlate is a thin flat board, two-dimensional until it is put on a rotor; see CurvedPlate.
func FlatPlate() *Polar { return plate(0) }

// CurvedPlate is a thin plate bent to a circular arc with its hollow side to the wind; camberShare is the depth of the arc
// over the chord, 0 (flat) to MaxCamber, and anything else a *Fault. The lift at rest of thin-aerofoil theory, α₀ =
// −2·camber, is taken at nine tenths. The figures are a smooth stand-in for published ranges, good to about 15 % in highest
// lift and a third in drag.
func CurvedPlate(camberShare float64) (*Polar, error) {
	if !(camberShare >= 0 && camberShare <= MaxCamber) {
		return nil, &Fault{"section", -1, fmt.Sprintf("the depth of a curved plate's arc must be from 0 to %g of the chord, not %g; "+
			"0.06 means 6 mm on a board 100 mm wide", MaxCamber, camberShare)}
	}
	return plate(camberShare), nil
}

func plate(camber float64) *Polar {
	zeroDeg := -2 * 0.9 * camber * 180 / math.Pi
	up := plateHighestLift + camberLift*camber
	down := max(plateHighestLift-camberLiftLost*camber, leastUpsideDown)
	least := plateLeastDrag + camberDrag*camber
	drag := func(deg float64) float64 { return least + along(plateDrag, math.Abs(deg-idealDegPerShare*camber)) }
	lastDeg := zeroDeg + 1.6*up/plateLiftPerDeg
	firstDeg := zeroDeg - 1.6*down/plateLiftPerDeg
	const n = 56
	points := make([]PolarPoint, 0, n+1)
	for i := range n + 1 {
		deg := firstDeg + (lastDeg-firstDeg)*float64(i)/n
		lift := plateLiftPerDeg * (deg - zeroDeg)
		if lift >= 0 {
			lift = up * along(plateLift, lift/up)
		} else {
			lift = -down * along(plateLift, -lift/down)
		}
		points = append(points, PolarPoint{deg, lift, drag(deg)})
	}
	p := &Polar{points: points, reynolds: plateReynolds, aspectRatio: math.NaN(), plate: true}
	p.extend()
	return p
}

// along reads a short table of rising steps, straight between them and level outside.
func along(table [][2]float64, x float64) float64 {
	for i := 1; i < len(table); i++ {
		if from, to := table[i-1], table[i]; x < to[0] {
			return from[1] + (to[1]-from[1])*(x-from[0])/(to[0]-from[0])
		}
	}
	return table[len(table)-1][1]
}
