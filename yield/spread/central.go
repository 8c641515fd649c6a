package spread

import "math"

// central are the outputs of a height with one source at a score and all others at their centre (−1 for all).
func (d *draw) central(h, source int, score float64) (out [outputs]float64) {
	m := &d.model.Heights[h]
	capital, upkeep, costs, price := 1.0, 1.0, 1.0, 1.0
	yearSpeed, yearEnergyFactor := 1.0, 1.0 // of one year, and as a mean of the life
	lifeSpeed, lifeEnergyFactor := 1.0, 1.0
	if source >= 0 {
		s := &d.sources[source]
		standard := s.at(h)
		year := s.factor(score, standard)
		life := year
		if s.EveryYear {
			life = s.factor(score/math.Sqrt(float64(d.years)), standard)
		}
		switch s.Kind {
		case WindSpeed:
			yearSpeed, lifeSpeed = year, life
		case WindEnergy:
			yearEnergyFactor, lifeEnergyFactor = year, life
		case Capital:
			capital = year
		case Upkeep:
			upkeep = year
		case Costs:
			costs = year
		case Price:
			price = year
		case SolarEnergy, SolarCost: // the array's
		}
	}
	mean, even := 0.0, 0.0
	for y := range d.mean {
		mean += d.mean[y]
		even += d.even[y]
	}
	cost := (m.CapitalPerYear*capital + (m.ReplacementsPerYear+m.UpkeepPerYear)*upkeep) * costs
	life := m.Energy.At(lifeSpeed) * m.NetShare * lifeEnergyFactor
	out[yearEnergy] = m.Energy.At(yearSpeed) * m.NetShare * yearEnergyFactor
	out[lifeEnergy] = life * mean
	out[yearCost], out[lifeCost] = per(cost, out[yearEnergy]), per(cost, life*even)
	out[netValue] = (life*even*d.model.Price*price - cost) * d.present
	return out
}

// swings are what each source does alone, of those that move a height's energy or its cost.
func (d *draw) swings(h int) []Swing {
	var out []Swing
	for i := range d.sources {
		s := &d.sources[i]
		if !s.Kind.touches(yearCost, false) {
			continue
		}
		below, above := d.central(h, i, -1), d.central(h, i, 1)
		out = append(out, Swing{
			Source: s.Name,
			Year:   Ends{below[yearEnergy], above[yearEnergy], below[yearCost], above[yearCost]},
			Life:   Ends{below[lifeEnergy], above[lifeEnergy], below[lifeCost], above[lifeCost]},
		})
	}
	return out
}

// linear is the energy's relative standard uncertainty of a year and of the life by the law of propagation (JCGM 100, 5.1.2).
func (d *draw) linear(h int) (year, life, sensitivity float64) {
	sensitivity = d.model.Heights[h].Energy.Sensitivity(1)
	for i := range d.sources {
		s := &d.sources[i]
		u := s.at(max(0, h))
		switch s.Kind {
		case WindSpeed:
			u *= sensitivity
		case WindEnergy:
		default:
			continue
		}
		year += u * u
		if s.EveryYear {
			life += u * u / float64(d.years)
		} else {
			life += u * u
		}
	}
	return math.Sqrt(year), math.Sqrt(life), sensitivity
}
