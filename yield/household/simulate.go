package household

import (
	"fmt"

	"mastworth/resource"
)

// Flows are the energies of a stretch of time, kWh. They balance:
//
//	WindKWh + SolarKWh = SelfUsed + SpilledKWh + LossKWh + what the battery gained (all but what it gave from its start)
//	LoadKWh = UnmetKWh + WindUsedKWh + SolarUsedKWh + StartUsedKWh
type Flows struct {
	Hours             float64 // in which everything is known
	LoadKWh           float64
	WindKWh, SolarKWh float64 // made
	WindUsedKWh       float64 // by the home, at once or by way of the battery
	SolarUsedKWh      float64
	StartUsedKWh      float64 // by the home, of what the battery held at the start
	UnmetKWh          float64 // what the home has to buy or go without
	SpilledKWh        float64 // what neither home nor battery can take: to be sold where there is a grid
	ChargedKWh        float64 // into the battery, at its socket
	DischargedKWh     float64 // out of it
	LossKWh           float64 // in the battery
	HoursUnmet        float64 // in which something is missing, however little
}

// UnmetShare is the share of the load that is not met; NaN without load.
func (f *Flows) UnmetShare() float64 { return f.UnmetKWh / f.LoadKWh }

// SpilledShare is the share of what is made that finds no use; NaN where nothing is made.
func (f *Flows) SpilledShare() float64 { return f.SpilledKWh / (f.WindKWh + f.SolarKWh) }

// SelfUsedShare is the share of what is made that the home uses, the battery's losses left out: what a tariff counts as
// saved. NaN where nothing is made.
func (f *Flows) SelfUsedShare() float64 {
	return (f.WindUsedKWh + f.SolarUsedKWh) / (f.WindKWh + f.SolarKWh)
}

func (f *Flows) add(g *Flows) {
	f.Hours += g.Hours
	f.LoadKWh += g.LoadKWh
	f.WindKWh += g.WindKWh
	f.SolarKWh += g.SolarKWh
	f.WindUsedKWh += g.WindUsedKWh
	f.SolarUsedKWh += g.SolarUsedKWh
	f.StartUsedKWh += g.StartUsedKWh
	f.UnmetKWh += g.UnmetKWh
	f.SpilledKWh += g.SpilledKWh
	f.ChargedKWh += g.ChargedKWh
	f.DischargedKWh += g.DischargedKWh
	f.LossKWh += g.LossKWh
	f.HoursUnmet += g.HoursUnmet
}

func (f *Flows) scale(by float64) {
	for _, v := range []*float64{&f.LoadKWh, &f.WindKWh, &f.SolarKWh, &f.WindUsedKWh, &f.SolarUsedKWh, &f.StartUsedKWh,
		&f.UnmetKWh, &f.SpilledKWh, &f.ChargedKWh, &f.DischargedKWh, &f.LossKWh} {
		*v *= by
	}
}

// Yearly are the flows of a year of 8760 hours, in proportion to the hours in which everything is known; NaN without any.
func (f *Flows) Yearly() Flows {
	out := *f
	by := hoursOfYear / f.Hours
	out.scale(by)
	out.Hours, out.HoursUnmet = f.Hours*by, f.HoursUnmet*by
	return out
}

// Result is what a home lives through over the steps given.
type Result struct {
	Flows            // over all steps
	Months [12]Flows // January first; steps of one calendar month in all years together
	// StartKWh and EndKWh are what the battery holds before the first step and after the last.
	StartKWh, EndKWh float64
	// Cycles is how often the battery's capacity was drawn, over all steps: DischargedKWh / CapacityKWh. 0 without one.
	Cycles   float64
	Warnings []resource.Warning
}

// Simulate runs a home through its steps, one after the other, with a battery by BatteryRule. Where wind and sun are there
// together, the home, the battery and what is spilled get the two in the proportion they are made; the battery gives back
// in the proportion it holds. A step in which any of the three is NaN is left out, the battery standing still, and counted
// in the warning steps_left_out. Steps that do not cover eleven months of the year give the warning not_a_year.
// Errors are *Fault.
func Simulate(in Input, b Battery) (Result, error) {
	p, err := in.prepare()
	if err != nil {
		return Result{}, err
	}
	if err := b.Validate(); err != nil {
		return Result{}, err
	}
	r := p.run(1, 1, b)
	r.Warnings = p.warnings()
	return r, nil
}

func (p *prepared) warnings() []resource.Warning {
	var out []resource.Warning
	if p.leftOut > 0 {
		verb := "are"
		if p.leftOut == 1 {
			verb = "is"
		}
		share := ""
		if percent := 100 * float64(p.leftOut) / float64(len(p.load)); percent >= 0.05 {
			share = fmt.Sprintf(" (%.1f %%)", percent)
		}
		out = append(out, warning("steps_left_out", "%d of %d steps%s %s left out: load, wind or solar is not known there", p.leftOut, len(p.load), share, verb))
	}
	var seen [12]bool
	for i, m := range p.months {
		if sum := p.load[i] + p.wind[i] + p.solar[i]; sum == sum {
			seen[m] = true
		}
	}
	months := 0
	for _, s := range seen {
		if s {
			months++
		}
	}
	if months < 11 {
		out = append(out, warning("not_a_year", "the steps cover %d of the 12 months, so that their shares are not a year's", months))
	}
	return out
}

// run is the simulation, with wind and solar multiplied. Inside, energy is counted in W × step.
func (p *prepared) run(windScale, solarScale float64, b Battery) Result {
	kWh := p.hours / 1000
	s := state{}
	if b.CapacityKWh > 0 {
		s = state{capacity: b.CapacityKWh / kWh, power: 1000 * b.PowerKW, efficiency: b.Efficiency, perStored: 1 / b.Efficiency}
		s.stored = s.capacity * b.StartShare
	}
	r := Result{StartKWh: s.stored * kWh}
	// A stretch of one month at a time, so that the sums stay in registers' reach.
	for from := 0; from < len(p.load); {
		month := p.months[from]
		to := from + 1
		for to < len(p.load) && p.months[to] == month {
			to++
		}
		f := s.stretch(p.wind[from:to], p.solar[from:to], p.load[from:to], windScale, solarScale)
		f.scale(kWh)
		f.Hours *= p.hours
		f.HoursUnmet *= p.hours
		r.Months[month].add(&f)
		from = to
	}
	for i := range r.Months {
		r.add(&r.Months[i])
	}
	r.EndKWh = s.stored * kWh
	if b.CapacityKWh > 0 {
		r.Cycles = r.DischargedKWh / b.CapacityKWh
	}
	return r
}

// state is the battery between two steps, in W × step.
type state struct {
	capacity, power       float64
	efficiency, perStored float64 // perStored is 1/efficiency
	stored                float64
	ofWind, ofSolar       float64 // parts of stored; the rest was there at the start
}

// stretch runs through steps of one month.
func (s *state) stretch(wind, solar, load []float64, windScale, solarScale float64) Flows {
	var f Flows
	for i, l := range load {
		w, sun := wind[i]*windScale, solar[i]*solarScale
		made := w + sun
		if over := made - l; over != over {
			continue
		}
		f.Hours++
		f.LoadKWh += l
		f.WindKWh += w
		f.SolarKWh += sun
		if made >= l {
			s.charge(&f, w, made, l)
			continue
		}
		f.WindUsedKWh += w
		f.SolarUsedKWh += sun
		missing := l - made
		if out := min(missing, s.power, s.stored); out > 0 {
			s.discharge(&f, out)
			missing -= out
		}
		if missing > 0 {
			f.UnmetKWh += missing
			f.HoursUnmet++
		}
	}
	return f
}

// charge is a step with enough for the home, and perhaps something over.
func (s *state) charge(f *Flows, wind, made, load float64) {
	if made == 0 {
		return
	}
	windShare := wind / made
	used := load * windShare
	f.WindUsedKWh += used
	f.SolarUsedKWh += load - used
	over := made - load
	in := min(over, s.power, (s.capacity-s.stored)*s.perStored)
	if in > 0 {
		gain := min(in*s.efficiency, s.capacity-s.stored)
		s.stored += gain
		s.ofWind += gain * windShare
		s.ofSolar += gain - gain*windShare
		f.ChargedKWh += in
		f.LossKWh += in - gain
		over -= in
	}
	f.SpilledKWh += over
}

// discharge draws from the battery, from each source as much as its part of what is stored.
func (s *state) discharge(f *Flows, out float64) {
	f.DischargedKWh += out
	if out >= s.stored {
		f.WindUsedKWh += s.ofWind
		f.SolarUsedKWh += s.ofSolar
		f.StartUsedKWh += s.stored - s.ofWind - s.ofSolar
		s.stored, s.ofWind, s.ofSolar = 0, 0, 0
		return
	}
	share := out / s.stored
	wind, solar := s.ofWind*share, s.ofSolar*share
	f.WindUsedKWh += wind
	f.SolarUsedKWh += solar
	f.StartUsedKWh += out - wind - solar
	s.stored -= out
	s.ofWind -= wind
	s.ofSolar -= solar
}
