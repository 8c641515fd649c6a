package assess

import (
	"fmt"
	"math"

	"mastworth/yield/decide"
	"mastworth/yield/spread"
)

// campaignMonths are for how long measuring is looked at.
var campaignMonths = [...]int{1, 3, 6, 12, 24}

// campaignSensor is the standard uncertainty of what a new mast measures: a cup without a calibration of its own. Judgement.
const campaignSensor = 0.05

const measuringRule = "a mast at the hub's height; what is to be decided is whether to build the best height, against taking the same energy from the " +
	"cheaper of the array and the grid; JCGM 101's model in the wind, the other sources at their means; value of information as in textbooks of decision " +
	"analysis; what a campaign tells is fitted to records of 1 to 24 months (six stations in Ireland, 1961 to 1978, and a reanalysis)"

// measuring works out what measuring on would be worth; nil where there is nothing to compare with.
func (a *assessment) measuring(heights []Height, b int, odds *Odds) (*Measuring, error) {
	m, h := &a.r.Money, &heights[b]
	alternative := min(orInf(a.sun.perKWh), orInf(m.worthPerKWh()))
	if math.IsInf(alternative, 1) {
		return nil, nil
	}
	table, err := a.energyTable(h, b)
	if err != nil {
		return nil, err
	}
	worth := m.plan(a.r.Towers[b].Cost).Worth()
	sd, keeps := odds.windSpeed(b, m.LifeYears)
	prospect := decide.Prospect{SpeedSD: sd, Keeps: keeps,
		Value: func(factor float64) float64 { return worth.NPV(a.net(table.At(factor)), alternative) }}
	record := a.campaign(b)
	campaigns := make([]decide.Campaign, len(campaignMonths))
	for i, months := range campaignMonths {
		campaigns[i] = decide.Campaign{Months: months, NoiseSD: record.SD(months), Cost: m.MeasuringCost}
	}
	found, err := decide.Measure(prospect, campaigns)
	if err != nil {
		return nil, fmt.Errorf("assess: measuring was refused: %w", err)
	}
	a.sources = append(a.sources, Provenance{"decision.measuring", measuringRule, "judgement where a number is not told; see uncertainty"})
	return &Measuring{Measured: found, SpeedSD: sd, Rule: measuringRule}, nil
}

// windSpeed is the relative standard uncertainty of the wind at a hub over the life, and the part of it that no measuring takes away:
// the luck of the years to come.
func (o *Odds) windSpeed(height, lifeYears int) (sd, keeps float64) {
	for i := range o.Sources {
		s := &o.Sources[i]
		if s.Kind != spread.WindSpeed {
			continue
		}
		v := s.Standard
		if s.PerHeight != nil {
			v = s.PerHeight[height]
		}
		if s.EveryYear {
			v /= math.Sqrt(float64(lifeYears))
			keeps = math.Hypot(keeps, v)
		}
		sd = math.Hypot(sd, v)
	}
	sd = math.Min(1, sd)
	return sd, math.Min(keeps, sd)
}

// campaign is what a new record would be made of. The season of a place whose wind is known by the month need not be found again.
func (a *assessment) campaign(b int) decide.Record {
	year := a.r.Uncertainty.YearToYear
	scatter := math.Hypot(year, slowChange)
	out := decide.Record{YearToYear: scatter, Sensor: campaignSensor, Month: monthScatter, Season: seasonScatter, Lasting: slowChange * slowChange / (scatter * scatter)}
	if m, is := a.hubs[b].power.(*moved); is && m.complete {
		out.Season = 0
	}
	return out
}

// nextStep recommends one; nil where nothing was worked out to recommend it by.
func (a *assessment) nextStep(m *Measuring, h *Height, verdict Answer) (*NextStep, error) {
	if a.source.tooWeak() != nil {
		return &NextStep{Code: "measure_months", Months: 12, Words: "measure the wind for a year, at the hub's height or close to it, or find hourly data of a year and " +
			"more: what there is gives no verdict"}, nil
	}
	if a.curveTooWeak() != nil {
		return &NextStep{Code: "log_the_machine", Words: "log the machine until its curve is complete: what there is gives no verdict"}, nil
	}
	if m == nil {
		return nil, nil
	}
	advice, err := decide.Advise(m.Measured, h.Cost.Capital, decide.Thresholds{})
	if err != nil {
		return nil, fmt.Errorf("assess: advice was refused: %w", err)
	}
	return &NextStep{Code: string(advice.Code), Months: advice.Months, Words: a.adviceWords(&advice, verdict)}, nil
}

func (a *assessment) adviceWords(v *decide.Advice, verdict Answer) string {
	cur := a.r.Money.Currency
	at := figure(v.ValueOfKnowing)
	if v.ValueOfKnowing > 0 && v.ValueOfKnowing < 1 { // nobody counts in such parts
		at = "less than 1"
	}
	stake := fmt.Sprintf("a wrong decision today costs %s %s on average", at, cur)
	if v.ValueOfKnowing == 0 {
		stake = "no wind that is likely makes it the wrong one"
	}
	if v.Code == decide.MeasureMonths {
		words := fmt.Sprintf("measure for %d months first: %s, with a chance of %s that it is wrong; deciding after measuring gains %s %s on average",
			v.Months, stake, chance(v.ChanceWrong), figure(v.NetGain), cur)
		if a.r.Money.MeasuringCost == 0 {
			return words + ", from which what measuring costs is still to be taken (money.measuring_cost)"
		}
		return words + ", after what measuring costs"
	}
	what := "decide now: by cost per kWh the mast is the dearer choice"
	if v.Code == decide.DecideNowBuild {
		what = "decide now: by cost per kWh the mast is the cheaper choice"
	}
	if verdict == CloseCall {
		what += ", if by little"
	}
	if v.Reason == decide.LittleAtStake {
		return fmt.Sprintf("%s. Measuring on would hardly change that: %s", what, stake)
	}
	return fmt.Sprintf("%s. No measuring gains more than it costs: %s", what, stake)
}
