package assess

import (
	"errors"
	"fmt"

	"mastworth/resource"
	"mastworth/yield/cost"
	"mastworth/yield/household"
	"mastworth/yield/solar"
)

// home is the household of a request, step by step along a record, with the sun on one kW of array; the wind is made for one
// tower at a time.
type home struct {
	record     *recordWind
	frame      frame
	months     []uint8
	load       []float64 // W; NaN where wind or sun is not known, so that every mixture of them lives through the same time
	sunW       []float64
	yearlyKWh  float64
	loadSource string
	battery    household.Battery
}

// followed is the household ready to be followed along the record; nil where it cannot be, and why. It is made once.
func (a *assessment) followed(heights []Height) (*home, string) {
	if a.home == nil && a.noHome == "" {
		a.home, a.noHome = a.follow(heights)
	}
	return a.home, a.noHome
}

func (a *assessment) follow(heights []Height) (*home, string) {
	if a.r.Household == nil {
		return nil, "none is described"
	}
	w, is := a.source.(*recordWind)
	if !is {
		return nil, "the wind is given as a distribution, not as a record"
	}
	for i := range heights {
		if heights[i].Energy.MonthlyKWh == nil {
			return nil, "the record does not hold at least ten days of every month"
		}
	}
	h, why := a.followAlong(w, heights)
	if h == nil && w.before != nil {
		// The reference has no sun: the time that was measured stands for the years, its months scaled to theirs.
		if measured, _ := a.followAlong(w.before, heights); measured != nil {
			return measured, ""
		}
	}
	return h, why
}

// followAlong lays load and sun along a record.
func (a *assessment) followAlong(w *recordWind, heights []Height) (*home, string) {
	s := w.series
	if s.Kind == resource.Daily || s.StepS > 3600 {
		return nil, fmt.Sprintf("the record's steps are %.3g hours long; it takes steps of an hour or less", float64(s.StepS)/3600)
	}
	sun, why := a.sunAlong(w)
	if sun == nil {
		return nil, why
	}
	h := home{record: w, frame: newFrame(s, mostSteps)}
	times := h.frame.times(s)
	h.months = household.MonthsOf(times, s.UTCOffsetS)
	h.sunW = h.frame.mean(sun)
	if err := h.draw(&a.r, times, s.UTCOffsetS); err != nil {
		return nil, err.Error() // a load that was validated
	}
	seen := map[float64]bool{}
	for i := range heights {
		if m := a.hubs[i].power.(*moved).heightM; !seen[m] {
			seen[m] = true
			h.hideUnknown(w.column(m))
		}
	}
	if !h.hasEveryMonth() {
		return nil, "wind and sun are not known together for at least ten days of every month"
	}
	return &h, ""
}

// sunAlong is the power of one kW of array at each step of a record, W, with the yield's own months; nil where it has none, and why.
func (a *assessment) sunAlong(w *recordWind) ([]float64, string) {
	steps := a.sun.steps
	if steps == nil || len(steps.PowerW) != w.series.Len() || w.before != nil { // a hindcast's sun is the reference's
		plane := a.sun.yield.Plane
		found, err := solar.Along(w.series, recordSolarSite(w.series, a.r.Site.solar()), plane, plane.TiltDeg != plane.TiltDeg, a.r.Solar.array())
		switch {
		case errors.Is(err, solar.ErrNoIrradiance):
			return nil, "the record has no irradiance: the sun is not known hour by hour"
		case err != nil:
			return nil, fmt.Sprintf("the sun is not known hour by hour (%v)", err)
		}
		steps = &found
	}
	out := append([]float64(nil), steps.PowerW...)
	hideBrokenDays(w.series, out)
	scale := func(month int) float64 {
		if m := a.sun.monthlyPerKW; m != nil {
			return m[month] / steps.MonthlyKWhPerKW[month]
		}
		return a.sun.yield.KWhPerKW / steps.KWhPerKW
	}
	for i := range out {
		if out[i] > 0 { // a month without any sun has nothing to scale
			out[i] *= scale(int(w.month[i]))
		}
	}
	return out, ""
}

// draw lays the load along the times.
func (h *home) draw(r *Request, times []int64, utcOffsetS int64) error {
	ask := r.Household
	h.yearlyKWh, h.battery = ask.YearlyKWh, ask.Battery
	var load *household.Load
	var err error
	if ask.LoadCSV != "" {
		h.loadSource = "household.load_csv of the request"
		load, err = household.ReadLoad([]byte(ask.LoadCSV), ask.YearlyKWh)
	} else {
		h.loadSource = household.LoadAssumption
		load, err = household.AssumedShape(r.Site.LatitudeDeg).Load(ask.YearlyKWh)
	}
	if err != nil {
		return err
	}
	h.load = load.Along(times, utcOffsetS)
	return nil
}

// hideUnknown takes the load out of the steps in which a channel's speed or the sun is not known.
func (h *home) hideUnknown(c *speedColumn) {
	ch := &h.record.series.Channels[c.index]
	for k, sp := range h.frame.spans {
		known := false
		for i := int(sp.from); i < int(sp.to) && !known; i++ {
			known = ch.Usable(i)
		}
		if sun := h.sunW[k]; !known || sun != sun {
			h.load[k] = nan
		}
	}
}

func (h *home) hasEveryMonth() bool {
	var n [12]int
	for k, l := range h.load {
		if l == l {
			n[h.months[k]]++
		}
	}
	for _, n := range n {
		if float64(n)*float64(h.frame.stepS) < fewestDaysAMonth*86400 {
			return false
		}
	}
	return true
}

// windW is the machine's net power on a tower at each step, W: its months are those of the estimate.
func (h *home) windW(a *assessment, height *Height, i int) []float64 {
	at := &a.hubs[i]
	m := at.power.(*moved)
	out := h.record.powers(h.record.column(m.heightM), m.lift, at.curve, &h.frame)
	own := household.MonthlyKWh(out, h.months)
	var scale [12]float64
	for k, kWh := range own {
		if kWh > 0 {
			scale[k] = height.Energy.MonthlyKWh[k] / kWh
		}
	}
	for k, w := range out {
		out[k] = max(0, w*scale[h.months[k]]) // NaN stays
	}
	return out
}

// simulate follows the home with so many machines of a power and so many kW of array.
func (h *home) simulate(windW []float64, machines, solarKW float64) (household.Result, error) {
	in := household.Input{WindW: windW, SolarW: scaled(h.sunW, solarKW), LoadW: h.load, Months: h.months, StepS: h.frame.stepS}
	if machines != 1 {
		in.WindW = scaled(windW, machines)
	}
	out, err := household.Simulate(in, h.battery)
	if err != nil {
		return out, fmt.Errorf("assess: a household that was looked through was refused: %w", err)
	}
	return out, nil
}

// scaled is a row times a factor; nil, which stands for nothing, for a factor of 0.
func scaled(row []float64, by float64) []float64 {
	if by == 0 {
		return nil
	}
	out := make([]float64, len(row))
	for i, v := range row {
		out[i] = v * by
	}
	return out
}

// batteryYearlyCost is the even yearly payment for the battery over its own life.
func (r *Request) batteryYearlyCost() float64 {
	h := r.Household
	if h == nil || h.Battery.CapacityKWh == 0 {
		return 0
	}
	return h.BatteryCost * cost.CapitalRecovery(r.Money.DiscountRate, h.BatteryLifeYears)
}
