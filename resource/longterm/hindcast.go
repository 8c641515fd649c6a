package longterm

import (
	"math"
	"slices"

	"mastworth/resource"
)

// carried are the quantities of the reference that the hindcast keeps as they are.
var carried = [...]resource.Quantity{
	resource.Temperature, resource.Pressure, resource.Humidity,
	resource.GlobalHorizontal, resource.DirectNormal, resource.DiffuseHorizontal,
}

// veer finds the mean turn from the reference's direction to the target's, by the reference's sectors: the direction of
// the sum of unit vectors of the turn, weighed by both speeds, so that light airs count little.
func (m *match) veer(p *pairs) {
	var east, north [SectorCount + 1]float64
	var n [SectorCount + 1]int
	for i, sector := range p.sector {
		turn := p.toDeg[i] - p.fromDeg[i]
		if math.IsNaN(turn) || sector < 0 {
			continue
		}
		sin, cos := math.Sincos(turn * math.Pi / 180)
		w := p.x[i] * p.y[i]
		for _, k := range [...]int{int(sector), SectorCount} {
			east[k] += w * sin
			north[k] += w * cos
			n[k]++
		}
	}
	if n[SectorCount] < fewestPairs {
		return
	}
	m.targetTurns = true
	for k := range n {
		of := k
		if n[k] < m.fewestInSector() {
			of = SectorCount
		}
		if t := turnOf(east[of], north[of]); !math.IsNaN(t) {
			m.turns[k] = t
		}
	}
}

// hindcast applies the lines of all channels to the reference's whole time.
func (m *match) hindcast(channels []int, results []Result, l []lines) *resource.Series {
	ref := m.reference
	s := &resource.Series{
		Times: ref.Times, StepS: ref.StepS, UTCOffsetS: m.target.UTCOffsetS + m.shiftS, Kind: ref.Kind, Place: m.target.Place,
		SourceFormat: m.target.SourceFormat, Attribution: attribution(m.target.Attribution, ref.Attribution),
	}
	for k, channel := range channels {
		c := &m.target.Channels[channel]
		values := make([]float64, len(ref.Times))
		results[k].Clipped = m.apply(values, &l[k])
		s.Channels = append(s.Channels, resource.Channel{Name: c.Name, Quantity: resource.Speed, HeightM: c.HeightM, Values: values})
	}
	if d := m.direction(channels[0]); d != nil {
		s.Channels = append(s.Channels, *d)
	}
	for i := range ref.Channels {
		if c := ref.Channels[i]; slices.Contains(carried[:], c.Quantity) {
			c.Flags = slices.Clone(c.Flags) // screening the hindcast must not flag the reference
			s.Channels = append(s.Channels, c)
		}
	}
	return s
}

// apply fills in the predicted speeds, NaN where the reference has none, and counts those that came out below zero.
func (m *match) apply(values []float64, l *lines) (clipped int) {
	for i, x := range m.ref.Values {
		if !m.ref.Usable(i) {
			values[i] = math.NaN()
			continue
		}
		line := l[SectorCount]
		if m.refDirection != nil && x > 0 && m.refDirection.Usable(i) {
			line = l.of(resource.SectorOf(m.refDirection.Values[i], SectorCount))
		}
		v := line.intercept + line.slope*x
		if v < 0 {
			v = 0
			clipped++
		}
		values[i] = v
	}
	return clipped
}

// direction is the reference's, turned; nil where it has none. It bears the name and height of the target's direction
// where that has one, else the reference's name and the height of the speed.
func (m *match) direction(channel int) *resource.Channel {
	if m.refDirection == nil {
		return nil
	}
	speed := &m.target.Channels[channel]
	out := &resource.Channel{
		Name: m.refDirection.Name, Quantity: resource.Direction, HeightM: speed.HeightM,
		Values: make([]float64, len(m.refDirection.Values)),
	}
	if d := directionOf(m.target, speed); d != nil {
		out.Name, out.HeightM = d.Name, d.HeightM
	}
	for i, deg := range m.refDirection.Values {
		if !m.refDirection.Usable(i) {
			out.Values[i] = math.NaN()
			continue
		}
		if m.targetTurns {
			deg = wind(deg + m.turns[resource.SectorOf(deg, SectorCount)])
		}
		out.Values[i] = deg
	}
	return out
}

func attribution(target, reference string) string {
	switch {
	case target == "" || target == reference:
		return reference
	case reference == "":
		return target
	}
	return target + "; " + reference
}
