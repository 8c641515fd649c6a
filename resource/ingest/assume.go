package ingest

import (
	"math"
	"strconv"

	"mastworth/resource"
)

// assumedUnit is the unit of a column that does not state it, judged from the sample where that can tell.
func (p *plan) assumedUnit(i int) *unit {
	c, s := &p.columns[i], &p.shapes[i]
	name := p.sheet.name(i)
	base := baseUnit(c.quantity)
	switch unitOf(c.quantity) {
	case speedUnit:
		if u, ok := unitNamed(p.o.SpeedUnit); ok {
			return u
		}
		p.rep.assume("column %q does not state its unit: m/s is taken; set speed_unit if that is wrong", name)
	case temperatureUnit:
		p.rep.assume("column %q does not state its unit: °C is taken; give the column's unit if that is wrong", name)
	case pressureUnit:
		base = pressureBySize(s.middle)
		p.rep.assume("column %q does not state its unit: from the size of its numbers %s is taken; give the column's unit if that is wrong",
			name, base.name)
	case shareUnit:
		if s.most > 1 {
			base, _ = unitNamed("%")
		}
	}
	return base
}

// pressureBySize tells units of air pressure apart, which differ by far more than the pressure of the air does.
func pressureBySize(p float64) *unit {
	name := "Pa"
	switch {
	case p < 15:
	case p < 33:
		name = "inHg"
	case p < 120:
		name = "kPa"
	case p < 1200:
		name = "hPa"
	}
	u, _ := unitNamed(name)
	return u
}

// assumeHeights gives the default height to wind columns without one, and reports what is assumed of heights.
func (p *plan) assumeHeights() {
	for i := range p.channels {
		ch := &p.channels[i]
		switch ch.quantity {
		case resource.Speed, resource.SpeedSD, resource.Gust, resource.Direction:
		default:
			continue
		}
		c := &p.columns[ch.field]
		switch {
		case c.bare:
			p.rep.assume("the %g in %q is taken for the height above ground, m; give the column's height if it is not", ch.heightM, ch.name)
		case !math.IsNaN(ch.heightM):
		case p.o.DefaultHeightM > 0:
			ch.heightM, c.heightM = p.o.DefaultHeightM, p.o.DefaultHeightM
		case ch.quantity == resource.Speed:
			p.rep.assume("column %q does not state its height above ground; set default_height_m", ch.name)
		}
	}
}

// Means that no place in the open air has over any length of time: the hottest months known come near 40 °C, the
// windiest exposed summits near 20 m/s, and mast records do not pass 13 m/s.
const (
	hottestMeanC  = 45
	windiestMeanM = 13
)

// doubt looks at the mean of a channel whose unit the file does not state. A temperature that cannot be °C is °F.
func (g *loggerFile) doubt(ch *channel, values []float64, mean float64) {
	if !g.columns[ch.field].unitAssumed {
		return
	}
	switch {
	case ch.quantity == resource.Temperature && mean > hottestMeanC:
		u, _ := unitNamed("°F")
		for i, v := range values {
			values[i] = u.convert(v)
		}
		g.rep.Columns[ch.report].Unit = u.name
		g.rep.retract("column " + strconv.Quote(ch.name) + " does not state its unit")
		g.rep.assume("column %q does not state its unit: °F is taken, since a mean of %.1f °C is nowhere", ch.name, mean)
	case ch.quantity == resource.Speed && mean > windiestMeanM:
		g.rep.assume("the mean of %q is %.1f m/s, which looks like km/h or mph: set speed_unit", ch.name, mean)
	}
}
