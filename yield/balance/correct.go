package balance

import "math"

// Trim is material to take off one blade.
type Trim struct {
	Blade int     // by index
	GM    float64 // moment to take off, g·m (with unknown centres of gravity, g at the unknown radius)
}

// MassAt is the mass in g to take off at a radius in m from the axis, such as the tip's. NaN unless the radius is above 0.
func (t Trim) MassAt(radiusM float64) float64 { return massAt(t.GM, radiusM) }

// Counterweight is mass to add to the hub or a blade, opposite the heavy side.
type Counterweight struct {
	GM       float64 // its moment, g·m; 0 for none
	AngleDeg float64 // degrees clockwise from blade Order[0], [0, 360); NaN for none
}

// MassAt is the mass in g to add at a radius in m from the axis. NaN unless the radius is above 0.
func (c Counterweight) MassAt(radiusM float64) float64 { return massAt(c.GM, radiusM) }

func massAt(gm, radiusM float64) float64 {
	if !(radiusM > 0) {
		return math.NaN()
	}
	return gm / radiusM
}

// correct works out how to take the imbalance off. Its direction lies at a blade or between two neighbours; taken apart
// along those two, it says what each must lose. No other two blades lose less.
func (r *Result) correct(blades []Blade) {
	r.Counter.AngleDeg = math.NaN()
	if r.ImbalanceGM == 0 {
		return
	}
	r.Counter = Counterweight{GM: r.ImbalanceGM, AngleDeg: math.Mod(r.DirectionDeg+180, 360)}
	n := len(blades)
	step := 360 / float64(n)
	// The place before the direction, and how far beyond it the direction lies.
	place := int(r.DirectionDeg / step)
	const hair = 1e-9 // of a degree: on a blade, not beside it
	beyond := r.DirectionDeg - float64(place)*step
	if beyond > step-hair {
		place, beyond = place+1, 0
	}
	first, second := r.ImbalanceGM, 0.0
	if beyond > hair && n > 2 {
		// Law of sines in the triangle of the two and their sum.
		toRad := math.Pi / 180
		first = r.ImbalanceGM * math.Sin((step-beyond)*toRad) / math.Sin(step*toRad)
		second = r.ImbalanceGM * math.Sin(beyond*toRad) / math.Sin(step*toRad)
	}
	r.Lighten = append(r.Lighten, Trim{r.Order[place%n], first})
	if second > 0 {
		r.Lighten = append(r.Lighten, Trim{r.Order[(place+1)%n], second})
	}
}
