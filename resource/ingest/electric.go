package ingest

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"mastworth/resource"
)

// electrics are the quantities of a machine at work.
var electrics = [...]resource.Quantity{resource.Power, resource.Voltage, resource.Current, resource.ShaftSpeed}

// unitOf reports whether the name states a unit of one of some kinds.
func (c *column) unitOf(kinds ...unitKind) bool {
	for _, k := range kinds {
		if c.unit != nil && c.unit.of == k {
			return true
		}
	}
	return false
}

// electricUnit reports whether the unit settles that a column is electrical. An A at the end of a name may be a mere letter.
func (c *column) electricUnit(m meaning) bool {
	return c.unitOf(wattUnit, voltageUnit, turnsUnit) || c.unitOf(currentUnit) && (c.sure || m&meansMoving == 0)
}

// electricOf is what a unit alone says: generator (W).
func (c *column) electricOf() meaning {
	switch {
	case c.unitOf(wattUnit):
		return meansPower
	case c.unitOf(voltageUnit):
		return meansVolts
	case c.unitOf(currentUnit):
		return meansAmps
	case c.unitOf(turnsUnit):
		return meansTurns
	}
	return 0
}

const meansMoving = meansWind | meansSpeed | meansGust | meansDirection

// everyday takes what a word would say of electricity out of a name that speaks of the air: "current" is also "of now", as in
// "current wind speed (m/s)". A unit of electricity settles it the other way, and turns a minute are a shaft's.
func (c *column) everyday(m meaning) meaning {
	const now = meansMoving | meansTemperature | meansPressure | meansHumidity | meansSun | meansDiffuse | meansTime
	switch {
	case m&meansElectric == 0 && c.sure && m&meansSpeed != 0 && m&meansWind == 0 && c.unitOf(turnsUnit):
		return m&^meansSpeed | meansTurns
	case m&meansMachine != 0 && m&(meansMeasured|meansOther|meansBattery) == 0:
		return m | c.electricOf()
	case m&meansElectric == 0 || c.electricUnit(m):
		return m
	case m&meansElectric == meansAmps && m&now != 0, m&meansMoving != 0 && c.unitOf(speedUnit, angleUnit):
		return m &^ meansElectric
	}
	return m
}

// electric tells a machine's power, voltage, current and turns apart. A name that speaks of the wind as well, and has no unit
// to settle it, may mean what a sensor gives out or what the wind holds: it is left to the user.
func (c *column) electric(m meaning, take func(resource.Quantity), none func(string)) {
	switch kind := m & meansElectric; {
	case m&meansSun != 0:
		none("it is of the sun, by its name")
	case m&meansMoving != 0 && !c.electricUnit(m):
		none("it may be the machine's or the wind's own, by its name; give the column's quantity and unit")
	case kind == meansPower:
		take(resource.Power)
	case kind == meansVolts:
		take(resource.Voltage)
	case kind == meansAmps:
		take(resource.Current)
	case kind == meansTurns:
		take(resource.ShaftSpeed)
	default:
		none("its name speaks of several electrical things")
	}
}

// ofBattery looks at a battery's column. Its current is the machine's; its voltage counts beside a current alone, since every
// weather station logs the voltage of its own cell.
func (c *column) ofBattery(m meaning, take func(resource.Quantity), none func(string)) {
	switch kind := m & meansElectric; {
	case kind == meansAmps || kind == 0 && c.unitOf(currentUnit):
		take(resource.Current)
	case kind == meansPower && c.unitOf(wattUnit):
		take(resource.Power)
	case m&(meansDeviation|meansMax|meansMin) == 0 && (kind == meansVolts || kind == 0 && c.unitOf(voltageUnit)):
		c.battery = true
		none("the voltage of a battery counts beside a current alone")
	default:
		none("it is the battery's, by its name")
	}
}

// batteries takes a battery's voltage for the machine's where a current stands beside it and no other voltage does.
func (p *plan) batteries() {
	if !p.holds(resource.Current) || p.holds(resource.Voltage) {
		return
	}
	for i := range p.columns {
		if c := &p.columns[i].column; c.battery && (c.unit == nil || c.unit.of == voltageUnit) {
			c.quantity, c.how = resource.Voltage, "a battery's voltage, beside a current"
		}
	}
}

func (p *plan) holds(q resource.Quantity) bool {
	for i := range p.columns {
		if p.columns[i].quantity == q {
			return true
		}
	}
	return false
}

// noteTwice says which of several columns of one electrical quantity a power curve is made from: the first, as Series.Find has
// it. A battery's voltage that gave way to the generator's counts among them.
func (p *plan) noteTwice() {
	for _, q := range electrics {
		var used string
		var others []string
		known := false
		for i := range p.channels {
			ch := &p.channels[i]
			if ch.quantity != q {
				continue
			}
			switch height := !math.IsNaN(ch.heightM); {
			case used == "":
				used, known = ch.name, height
			case height && !known:
				others, used, known = append(others, used), ch.name, true
			default:
				others = append(others, ch.name)
			}
		}
		if q == resource.Voltage && used != "" && p.holds(resource.Current) {
			for i := range p.columns {
				if p.columns[i].battery && !p.columns[i].given && !p.columns[i].measured() {
					others = append(others, p.sheet.name(i))
				}
			}
		}
		if len(others) == 0 {
			continue
		}
		for i, name := range others {
			others[i] = strconv.Quote(name)
		}
		verb := "hold"
		if len(others) == 1 {
			verb = "holds"
		}
		p.rep.assume("%s %s %s too, but a power curve is made from %q, the first; to choose another, set column=%q, and column=%q for the other",
			strings.Join(others, " and "), verb, q, used, used+"=ignore", fmt.Sprintf("NAME=%s", q))
	}
}
