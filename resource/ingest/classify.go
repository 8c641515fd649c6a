package ingest

import "mastworth/resource"

// classify settles the quantity of a column that is no part of a stamp.
func (c *column) classify(m meaning, known, sureUnit bool) {
	none := func(why string) { c.how = "not used: " + why }
	extreme := m&(meansDeviation|meansMax|meansMin|meansGust) != 0
	take := func(q resource.Quantity) {
		if extreme {
			none("only the mean of " + q.String() + " is")
			return
		}
		c.quantity = q
	}
	switch {
	case m&meansOther != 0:
		none("it measures something else, by its name")
	case m&meansBattery != 0:
		c.ofBattery(m, take, none)
	case m&meansElectric != 0:
		c.electric(m, take, none)
	case m&meansMachine != 0 && m&(meansTemperature|meansPressure|meansHumidity) != 0:
		none("it is the machine's own, by its name, not the air's")
	case m&meansMachine != 0 && m&meansSpeed != 0 && m&meansWind == 0 && !c.unitOf(speedUnit):
		none("it is the speed of the machine, by its name; give the column's quantity, shaft_speed for turns a minute")
	case m&meansPulses != 0 && m&(meansMeasured&^(meansWind|meansSpeed)) == 0:
		c.role = ColumnPulses
	case m&meansTime != 0:
		if m&meansMeasured != 0 {
			none("it is the time of something, by its name")
		}
	case m&meansDirection != 0:
		take(resource.Direction)
	case m&(meansSun|meansDiffuse) != 0 || m&meansDirect != 0 && m&meansNormal != 0:
		c.sun(m, take, none)
	case m&meansHumidity != 0:
		take(resource.Humidity)
	case m&meansSeaLevel != 0 && m&meansTemperature != 0:
		none("it measures something else, by its name")
	case m&meansSeaLevel != 0:
		none("pressure reduced to sea level is not the pressure at the station")
	case m&meansPressure != 0:
		take(resource.Pressure)
	case m&meansTemperature != 0:
		take(resource.Temperature)
	case m&(meansWind|meansSpeed|meansGust) != 0 || !known && c.unit != nil && c.unit.of == speedUnit && sureUnit:
		c.wind(m, none)
	}
}

// sun tells the kinds of irradiance apart.
func (c *column) sun(m meaning, take func(resource.Quantity), none func(string)) {
	switch {
	case m&meansDiffuse != 0:
		take(resource.DiffuseHorizontal)
	case m&meansDirect != 0 && m&meansNormal != 0:
		take(resource.DirectNormal)
	case m&meansDirect != 0:
		none("direct irradiance is used on a plane facing the sun only")
	default:
		take(resource.GlobalHorizontal)
	}
}

// wind tells mean, deviation and gust apart.
func (c *column) wind(m meaning, none func(string)) {
	switch {
	case m&meansMin != 0:
		none("the lowest speed within a step is not needed")
	case m&meansDeviation != 0:
		c.quantity = resource.SpeedSD
	case m&(meansMax|meansGust) != 0:
		c.quantity = resource.Gust
	default:
		c.quantity = resource.Speed
		c.vector = m&meansVector != 0
	}
}
