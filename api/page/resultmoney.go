package page

import (
	"math"
	"strconv"
	"strings"

	"mastworth/openapi"
)

func heightSection(e shownEstimate, cur string) ResultSection {
	s := ResultSection{ID: "heights", Title: Text("result.heights")}
	if len(e.Heights) == 0 {
		return s
	}
	t := Table{Caption: Text("result.heights"), Head: []string{Text("result.hub"), amount("result.mean_wind", e.SpeedSign()), amount("result.net_energy", "kWh"),
		amount("result.capital", cur), amount("result.cost_kwh", cur), amount("result.solar_kwh", cur)}}
	for i := range e.Heights {
		h := &e.Heights[i]
		t.Rows = append(t.Rows, []string{e.length(&h.HubHeightM), e.speedFigure(h.Wind.MeanSpeedMS), three(h.Energy.NetKWh), three(h.Cost.Capital), three(h.Cost.PerKWh),
			three(h.Solar.PerKWh)})
	}
	s.Tables = append(s.Tables, t)
	if odds := oddsTable(e); len(odds.Rows) > 0 {
		s.Tables = append(s.Tables, odds)
	}
	if steps := e.Decision.Steps; len(steps) > 1 {
		t := Table{Caption: Text("result.steps"), Head: []string{Text("result.hub"), amount("result.extra_cost", cur), amount("result.extra_energy", "kWh"),
			amount("result.marginal", cur)}}
		for i := range steps {
			t.Rows = append(t.Rows, []string{e.length(&steps[i].HubHeightM), three(steps[i].ExtraCostPerYear), three(steps[i].ExtraKWhPerYear), three(steps[i].MarginalPerKWh)})
		}
		s.Tables = append(s.Tables, t)
	}
	return s
}

func oddsTable(e shownEstimate) Table {
	t := Table{Caption: Text("result.odds"), Head: []string{Text("result.hub"), "P50, kWh", "P75, kWh", "P90, kWh", Text("result.below_solar"), Text("result.below_price"),
		Text("result.is_cheapest")}}
	for i := range e.Heights {
		h := &e.Heights[i]
		if h.Odds == nil || h.Odds.Life.EnergyKWh == nil {
			return Table{}
		}
		l := h.Odds.Life.EnergyKWh
		t.Rows = append(t.Rows, []string{e.length(&h.HubHeightM), three(l.P50), three(l.P75), three(l.P90), chanceOf(h.Odds.BelowSolar), chanceOf(h.Odds.BelowPrice),
			chanceOf(h.Odds.Cheapest)})
	}
	return t
}

func chanceOf(c *openapi.Chance) string {
	if c == nil {
		return unknown
	}
	return perCent(&c.Share)
}

func monthSection() ResultSection { return ResultSection{ID: "months", Title: Text("result.by_month")} }

func splitSection(e shownEstimate, cur string) ResultSection {
	m := e.Decision.Split
	s := ResultSection{ID: "split", Title: Text("result.split")}
	if m == nil {
		return s
	}
	tell := func(key string, row *openapi.SplitRow) {
		if bought := boughtWords(row, e.Units); bought != "" {
			s.Words = append(s.Words, Text(key, bought, money(row.CostPerKWh, cur)))
		}
	}
	if i := m.CheapestRow; i >= 0 && i < len(m.Rows) {
		tell("result.split_cheapest", &m.Rows[i])
	}
	if i := m.MostEvenRow; i >= 0 && i < len(m.Rows) {
		tell("result.split_even", &m.Rows[i])
	}
	if m.AnySizeMostEven != nil {
		tell("result.split_even_any", m.AnySizeMostEven)
	}
	if c := m.Complement; c != nil && c.Correlation != nil {
		s.Words = append(s.Words, Text("result.complement", Number(*c.Correlation, 2)))
	}
	t := Table{Caption: Text("result.split_table", money(&m.BudgetPerYear, cur)), Long: true, Head: []string{Text("result.wind_share"), amount("result.wind_energy", "kWh"),
		amount("result.solar_energy", "kWh"), amount("result.a_kwh", cur), Text("result.unevenness")}}
	for i := range m.Rows {
		row := &m.Rows[i]
		if i > 0 && row.WindKWh == m.Rows[i-1].WindKWh && row.SolarKWh == m.Rows[i-1].SolarKWh {
			continue // the share buys the same as the one before
		}
		t.Rows = append(t.Rows, []string{share(&row.WindShare), three(&row.WindKWh), three(&row.SolarKWh), three(row.CostPerKWh), three(row.Unevenness)})
	}
	if len(t.Rows) > 0 {
		s.Tables = append(s.Tables, t)
	}
	if m.Home != nil {
		s.Tables = append(s.Tables, homeTable(m, e.Units))
		s.Words = append(s.Words, sentence(Text("result.load_source", m.Home.LoadSource)))
	}
	for _, w := range m.Warnings {
		s.Warnings = append(s.Warnings, e.sentence(w.Detail))
	}
	return s
}

// boughtWords are what a share of the money buys; nothing where it buys nothing.
func boughtWords(row *openapi.SplitRow, u Units) string {
	const leastKW = 0.005 // less would be shown as none
	var parts []string
	if row.HubHeightM != nil && row.Machines > 0 {
		switch row.Machines {
		case 1:
			parts = append(parts, Text("result.split_one", u.length(row.HubHeightM), three(&row.WindKWh)))
		case math.Round(row.Machines):
			parts = append(parts, Text("result.split_machines", Number(row.Machines, 0), u.length(row.HubHeightM), three(&row.WindKWh)))
		default:
			parts = append(parts, Text("result.split_part", Number(row.Machines, 2), u.length(row.HubHeightM), three(&row.WindKWh)))
		}
	}
	if row.SolarKW > leastKW {
		parts = append(parts, Text("result.split_solar", three(&row.SolarKW), three(&row.SolarKWh)))
	}
	return strings.Join(parts, " "+Text("result.and")+" ")
}

// homeTable is where a home's energy goes with wind, sun and both; what the battery keeps for itself, where there is one.
func homeTable(m *openapi.MoneySplit, u Units) Table {
	h := m.Home
	t := Table{Caption: Text("result.home", three(&h.YearlyKWh)), Head: []string{Text("result.with"), amount("result.made", "kWh"), Text("result.used"),
		Text("result.left_over")}}
	battery := h.Wind.BatteryLossKWh > 0 || h.Solar.BatteryLossKWh > 0 || h.Mixed != nil && h.Mixed.BatteryLossKWh > 0
	if battery {
		t.Head = append(t.Head, Text("result.battery_lost"))
	}
	t.Head = append(t.Head, Text("result.bought"))
	row := func(words string, f *openapi.HomeFlows) {
		made := f.WindKWh + f.SolarKWh
		cells := []string{words, three(&made), share(f.SelfUsedShare), share(f.SpilledShare)}
		if battery {
			lost := f.BatteryLossKWh / max(made, f.BatteryLossKWh)
			cells = append(cells, share(&lost))
		}
		t.Rows = append(t.Rows, append(cells, share(f.UnmetShare)))
	}
	row(Text("result.wind_alone"), &h.Wind)
	row(Text("result.solar_alone"), &h.Solar)
	if i := h.MixedRow; h.Mixed != nil && i >= 0 && i < len(m.Rows) {
		row(Text("result.both", boughtWords(&m.Rows[i], u)), h.Mixed)
	}
	return t
}

func cashSection(e shownEstimate, cur string) ResultSection {
	c, sun := e.Decision.Cash, e.Decision.SolarCash
	s := ResultSection{ID: "cash", Title: Text("result.cash")}
	if c == nil {
		return s
	}
	s.Words = []string{Text("result.cash_words", e.length(&c.HubHeightM), unit(three(&c.NPV), cur), rateWords(c.IRR), paybackWords(c.PaybackYears), paybackWords(c.DiscountedPaybackYears)),
		Text("result.cash_limits")}
	s.Tables = append(s.Tables, cashTable(Text("result.cash_table", cur), c.Years))
	if sun != nil {
		s.Words = append(s.Words, Text("result.solar_cash_words", unit(three(&sun.ArrayKW), "kW"), unit(three(&sun.NPV), cur), rateWords(sun.IRR),
			paybackWords(sun.PaybackYears), paybackWords(sun.DiscountedPaybackYears)))
		s.Tables = append(s.Tables, cashTable(Text("result.solar_cash_table", cur), sun.Years))
	}
	for _, w := range c.Warnings {
		s.Warnings = append(s.Warnings, e.sentence(w.Detail))
	}
	return s
}

func cashTable(caption string, years []openapi.CashYear) Table {
	t := Table{Caption: caption, Long: true, Head: []string{Text("result.year"), "kWh", Text("result.income"), Text("result.running"), Text("result.replaced"),
		Text("result.net"), Text("result.sum"), Text("result.discounted_sum")}}
	for i := range years {
		y := &years[i]
		row := []string{strconv.Itoa(y.Year)}
		for _, v := range []float64{y.EnergyKWh, y.Income, y.Running, y.Replacement, y.Net, y.Cumulative, y.CumulativeDiscounted} {
			row = append(row, Number(v, 0))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// rateWords are a rate of return a year, which may be below nothing, as part of a sentence; nothing where there is none.
func rateWords(rate *float64) string {
	if rate == nil {
		return "" // a warning says why there is none
	}
	return Text("result.cash_rate", unit(Number(100**rate, 1), "%"))
}

func paybackWords(years *float64) string {
	if years == nil {
		return Text("result.never")
	}
	return Text("result.after_years", Number(*years, 1))
}
