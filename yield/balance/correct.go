package balance

import "math"

// Trim is material to take off one blade.
type Trim struct {
	Blade   int     // by index
	GM      float64 // moment to take off, g·m (with unknown centres of gravity, g at the unknown radius)
	CentreM float64 // radius of the blade's centre of gravity, m; NaN where it is not known
}

// MassAt is the mass in g to take off at a radius in m from the axis, such as the tip's. NaN unless the radius is above 0, and
// NaN where the centres of gravity are not known: the moment is not known either then.
func (t Trim) MassAt(radiusM float64) float64 { return massAt(t.GM, t.CentreM, radiusM) }

// MassAtCentre is the mass in g to take off at the blade's centre of gravity. It is known whether or not the centre is.
func (t Trim) MassAtCentre() float64 { return massAtCentre(t.GM, t.CentreM) }

// Counterweight is mass to add to the hub or a blade, opposite the heavy side.
type Counterweight struct {
	GM       float64 // its moment, g·m (with unknown centres of gravity, g at the unknown radius); 0 for none
	AngleDeg float64 // degrees clockwise from blade Order[0], [0, 360); NaN for none
	CentreM  float64 // mean radius of the blades' centres of gravity, m; NaN where they are not known
}

// MassAt is the mass in g to add at a radius in m from the axis. NaN as that of a Trim.
func (c Counterweight) MassAt(radiusM float64) float64 { return massAt(c.GM, c.CentreM, radiusM) }

// MassAtCentre is the mass in g to add as far out as the blades' centres of gravity lie on average.
func (c Counterweight) MassAtCentre() float64 { return massAtCentre(c.GM, c.CentreM) }

func massAt(gm, centreM, radiusM float64) float64 {
	if !(radiusM > 0) || math.IsNaN(centreM) {
		return math.NaN()
	}
	return gm / radiusM
}

func massAtCentre(gm, centreM float64) float64 {
	if math.IsNaN(centreM) {
		return gm // moments were counted with all centres 1 m out
	}
	return gm / centreM
}

// correct works out how to take the imbalance off. Its direction lies at a blade or between two neighbours; taken apart
// along those two, it says what each must lose. No other two blades lose less.
func (r *Result) correct(blades []Blade) {
	mean := 0.0
	for _, b := range blades {
		mean += b.CentreM / float64(len(blades))
	}
	r.Counter = Counterweight{AngleDeg: math.NaN(), CentreM: mean}
	if r.ImbalanceGM == 0 {
		return
	}
	r.Counter.GM, r.Counter.AngleDeg = r.ImbalanceGM, math.Mod(r.DirectionDeg+180, 360)
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
	r.Lighten = append(r.Lighten, trimOf(blades, r.Order[place%n], first))
	if second > 0 {
		r.Lighten = append(r.Lighten, trimOf(blades, r.Order[(place+1)%n], second))
	}
}

func trimOf(blades []Blade, i int, gm float64) Trim { return Trim{i, gm, blades[i].CentreM} }
