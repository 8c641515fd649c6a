package household

import (
	"math"

	"mastworth/resource"
)

// SplitRow is one way to split the budget.
type SplitRow struct {
	WindShare           float64 // of the budget set aside for wind, as asked
	Wind                int     // index of the wind offer bought; −1 for none
	Machines            float64 // how many of it: a whole number unless Options.Fraction
	SolarUnits          float64 // how many solar offers (kilowatts): any fraction
	WindCost, SolarCost float64 // a year; what is left of the budget buys nothing
	WindKWh, SolarKWh   float64 // a year, the first
	EvenKWh             float64 // of both, an even year over the life (Offer.EvenShare)
	CostPerKWh          float64 // of all that is made over the life, the battery left out; NaN where nothing is made
	Evenness            float64 // of the months: their coefficient of variation, 0 for even; NaN where nothing is made
	// The rest is NaN without hourly data.
	UnmetShare, SpilledShare, SelfUsedShare float64
	// CostPerUsedKWh is what a kWh that the home uses costs, array, machine and battery together.
	CostPerUsedKWh float64
	Cycles         float64 // of the battery, over the steps
}

// SplitTable is the budget split in all ways asked for. The best rows are indices; −1 where not known. Of equal rows the first
// is the best.
type SplitTable struct {
	Rows       []SplitRow
	Cheapest   int // least cost per kWh
	MostEven   int // lowest coefficient of variation of the months
	LeastUnmet int // least unmet share of the load
	Warnings   []resource.Warning
}

// Split shares a yearly budget between wind and solar. The array comes in any size at one price a kilowatt, wind by
// Options.Fraction; without an array (nil) what wind does not take is not spent. Errors are *Fault. Warnings are those of
// Simulate and no_machine_affordable, where the whole budget does not pay one whole machine.
func Split(budgetPerYear float64, wind []Offer, solar *Offer, o Options) (SplitTable, error) {
	if err := o.validate(budgetPerYear, wind, solar); err != nil {
		return SplitTable{}, err
	}
	if o.Shares == nil {
		o.Shares = twentieths[:]
	}
	s := splitter{budget: budgetPerYear, wind: wind, solar: solar, o: &o}
	s.sumYears()
	if err := s.prepare(); err != nil {
		return SplitTable{}, err
	}
	t := SplitTable{Rows: make([]SplitRow, len(o.Shares)), Warnings: s.warnings()}
	for i, share := range o.Shares {
		s.row(&t.Rows[i], share)
		// Shares between two whole machines buy the same.
		if i > 0 && t.Rows[i].sameAs(&t.Rows[i-1]) {
			t.Rows[i] = t.Rows[i-1]
			t.Rows[i].WindShare = share
			continue
		}
		s.live(&t.Rows[i])
	}
	t.Cheapest = lowest(t.Rows, func(r *SplitRow) float64 { return r.CostPerKWh })
	t.MostEven = lowest(t.Rows, func(r *SplitRow) float64 { return r.Evenness })
	t.LeastUnmet = lowest(t.Rows, func(r *SplitRow) float64 { return r.UnmetShare })
	return t, nil
}

// twentieths are the shares where none are asked for.
var twentieths = func() (shares [21]float64) {
	for i := range shares {
		shares[i] = float64(i) / (float64(len(shares)) - 1)
	}
	return shares
}()

func (r *SplitRow) sameAs(q *SplitRow) bool {
	return r.Wind == q.Wind && r.Machines == q.Machines && r.SolarUnits == q.SolarUnits
}

// lowest is the index of the first lowest value, NaN left out; −1 without any.
func lowest(rows []SplitRow, of func(*SplitRow) float64) int {
	best := -1
	for i := range rows {
		if v := of(&rows[i]); v == v && (best < 0 || v < of(&rows[best])) {
			best = i
		}
	}
	return best
}

// splitter holds what all rows share.
type splitter struct {
	budget float64
	wind   []Offer
	solar  *Offer
	o      *Options
	// The sum of each wind offer's months, and of the array's.
	windKWh  []float64
	solarKWh float64
	runs     []prepared // of each wind offer, or one without wind; only with a home
}

func (s *splitter) sumYears() {
	s.windKWh = make([]float64, len(s.wind))
	for i := range s.wind {
		s.windKWh[i] = s.wind[i].YearlyKWh()
	}
	if s.solar != nil {
		s.solarKWh = s.solar.YearlyKWh()
	}
}

// prepare looks the hourly rows through once.
func (s *splitter) prepare() error {
	if s.o.Home == nil {
		return nil
	}
	s.runs = make([]prepared, max(1, len(s.wind)))
	for i := range s.runs {
		in := *s.o.Home
		if i < len(s.wind) {
			in.WindW = s.wind[i].PowerW
		}
		if s.solar != nil {
			in.SolarW = s.solar.PowerW
		}
		var err error
		if s.runs[i], err = in.prepare(); err != nil {
			return err
		}
	}
	return nil
}

func (s *splitter) warnings() []resource.Warning {
	var out []resource.Warning
	if s.o.Home != nil {
		out = s.runs[0].warnings()
	}
	if i, _ := s.machines(s.budget); len(s.wind) > 0 && i < 0 {
		cheapest := s.wind[0].YearlyCost
		for _, w := range s.wind {
			cheapest = math.Min(cheapest, w.YearlyCost)
		}
		out = append(out, warning("no_machine_affordable", "the budget of %g a year does not pay the cheapest wind machine, %g a year",
			s.budget, cheapest))
	}
	return out
}

// machines is the wind offer that a sum a year buys, and how many of it; −1 for none.
func (s *splitter) machines(money float64) (offer int, n float64) {
	offer = -1
	most := 0.0
	for i := range s.wind {
		w := &s.wind[i]
		count := money / w.YearlyCost
		if !s.o.Fraction {
			// A budget that pays a machine to the last cent must not fail by rounding.
			count = math.Min(math.Floor(count*(1+1e-12)), float64(max(s.o.MaxMachines, 1)))
		}
		if kWh := count * s.windKWh[i]; kWh > most {
			offer, n, most = i, count, kWh
		}
	}
	return offer, n
}

// row buys for one share of the budget.
func (s *splitter) row(r *SplitRow, share float64) {
	nan := math.NaN()
	*r = SplitRow{WindShare: share, UnmetShare: nan, SpilledShare: nan, SelfUsedShare: nan, CostPerUsedKWh: nan, Cycles: nan}
	r.Wind, r.Machines = s.machines(share * s.budget)
	var months [12]float64
	if r.Wind >= 0 {
		w := &s.wind[r.Wind]
		r.WindCost, r.WindKWh = r.Machines*w.YearlyCost, r.Machines*s.windKWh[r.Wind]
		r.EvenKWh = r.Machines * w.evenOf(s.windKWh[r.Wind])
		for m, v := range w.MonthlyKWh {
			months[m] += r.Machines * v
		}
	}
	if s.solar != nil {
		r.SolarCost = math.Max(0, s.budget-r.WindCost)
		r.SolarUnits = r.SolarCost / s.solar.YearlyCost
		r.SolarKWh = r.SolarUnits * s.solarKWh
		r.EvenKWh += r.SolarUnits * s.solar.evenOf(s.solarKWh)
		for m, v := range s.solar.MonthlyKWh {
			months[m] += r.SolarUnits * v
		}
	}
	r.Evenness = Evenness(months)
	r.CostPerKWh = nan
	if r.EvenKWh > 0 {
		r.CostPerKWh = (r.WindCost + r.SolarCost) / r.EvenKWh
	}
}

// live runs the home with what a row bought.
func (s *splitter) live(r *SplitRow) {
	if s.o.Home == nil {
		return
	}
	// A row without wind leaves out the same steps as the others, so that all shares speak of the same time.
	p, windScale := &s.runs[0], 0.0
	if r.Wind >= 0 {
		p, windScale = &s.runs[r.Wind], r.Machines
	}
	home := p.run(windScale, r.SolarUnits, s.o.Battery)
	r.UnmetShare, r.SpilledShare, r.SelfUsedShare = home.UnmetShare(), home.SpilledShare(), home.SelfUsedShare()
	r.Cycles = home.Cycles
	// The money is a year's, the steps may be more or less: used energy is taken at its share of an even year's making.
	cost := r.WindCost + r.SolarCost
	if s.o.Battery.CapacityKWh > 0 {
		cost += s.o.BatteryYearlyCost
	}
	if used := r.SelfUsedShare * r.EvenKWh; used > 0 {
		r.CostPerUsedKWh = cost / used
	}
}
