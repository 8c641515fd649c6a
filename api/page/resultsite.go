package page

import (
	"cmp"
	"strconv"
	"strings"

	"mastworth/api/chart"
	"mastworth/openapi"
)

func windSection(e shownEstimate, best *openapi.HeightEstimate) ResultSection {
	s := ResultSection{ID: "wind", Title: Text("result.wind")}
	if best == nil {
		return s
	}
	w := &best.Wind
	if w.MeanSpeedMS != nil {
		s.Words = append(s.Words, Text("result.wind_words", e.length(&best.HubHeightM), e.speed(w.MeanSpeedMS), three(w.PowerDensityWM2), three(w.AirDensityKgM3)))
	}
	if w.MeasuredAtM != nil && w.HeightFactor != nil {
		words := Text("result.moved", e.length(w.MeasuredAtM), three(w.HeightFactor), wordsFor("result.profile.", string(e.Profile.Method)))
		if e.Profile.Exponent != nil {
			words += " " + Text("result.exponent", three(e.Profile.Exponent))
		}
		s.Words = append(s.Words, words)
	}
	if l := e.LongTerm; l != nil {
		s.Words = append(s.Words, Text("result.long_term", l.Reference, wordsFor("result.long.", string(l.Method)), Day(l.ConcurrentFrom), Day(l.ConcurrentTo),
			e.speed(l.TargetMeanMS), e.speed(l.PredictedMeanMS), share(l.StandardUncertainty)))
	}
	return s
}

func speedSection(e shownEstimate) ResultSection {
	s := ResultSection{ID: "speeds", Title: Text("result.speeds")}
	switch w := e.WindHistogram; {
	case w != nil:
		s.Words = []string{Text("result.own_speeds", e.length(&w.HubHeightM))}
		if w.CalmShare >= 0.001 { // which share tells as 0.1 %
			s.Words = append(s.Words, Text("result.calms", partOf(&w.CalmShare)))
		}
	case e.Request.Wind.Record != nil:
		s.Words = []string{Text("result.fit_alone")}
	case e.Request.Wind.Mean != nil && len(e.Heights) > 0:
		s.Words = []string{Text("result.given_alone")}
	}
	return s
}

func lossSection(e shownEstimate, best *openapi.HeightEstimate) ResultSection {
	s := ResultSection{ID: "losses", Title: Text("result.losses")}
	if best != nil && best.Energy.GrossKWh != nil {
		s.Words = []string{Text("result.losses_words", e.length(&best.HubHeightM), wordsFor("result.basis.", string(best.Energy.Basis)))}
	}
	return s
}

func doubtSection(e shownEstimate) ResultSection {
	s := ResultSection{ID: "doubts", Title: Text("result.doubts")}
	if e.Odds == nil {
		return s
	}
	s.Words = []string{Text("result.doubts_words", e.Odds.Draws)}
	t := Table{Caption: Text("result.doubts_table"), Long: true, Wordy: true, Head: []string{Text("result.what"), Text("result.standard"), Text("result.origin")}}
	for i := range e.Odds.Sources {
		o := &e.Odds.Sources[i]
		size := share(o.StandardUncertainty)
		if n := len(o.ByHeight); n > 0 {
			size = Text("result.doubt_range", share(&o.ByHeight[0]), share(&o.ByHeight[n-1]))
		}
		t.Rows = append(t.Rows, []string{wordsFor("result.doubt.", o.Name), size, e.sentence(o.Origin)})
	}
	s.Tables = append(s.Tables, t)
	return s
}

func surroundingsSection(e shownEstimate, best *openapi.HeightEstimate) ResultSection {
	s := ResultSection{ID: "surroundings", Title: Text("result.surroundings")}
	if best == nil {
		return s
	}
	if o := best.Surroundings; o != nil {
		if o.ObstacleLossShare != nil {
			s.Words = append(s.Words, Text("result.obstacle_loss", share(o.ObstacleLossShare), e.length(&best.HubHeightM)))
		}
		if o.ReliefGainShare != nil && *o.ReliefGainShare != 0 {
			s.Words = append(s.Words, Text("result.relief_gain", share(o.ReliefGainShare)))
		}
		if o.SpeedLowMS != nil && o.SpeedHighMS != nil {
			s.Words = append(s.Words, Text("result.speed_range", e.speed(o.SpeedLowMS), e.speed(o.SpeedHighMS)))
		}
		if o.InMeasuredWind {
			s.Words = append(s.Words, Text("result.in_measured"))
		}
	}
	if len(best.Siting) == 0 {
		return s
	}
	clears := map[string]string{}
	for i := range e.Decision.SitingHeights {
		h := &e.Decision.SitingHeights[i]
		clears[h.Rule] = e.length(h.HubHeightM)
	}
	t := Table{Caption: Text("result.siting", e.length(&best.HubHeightM)), Wordy: true, Head: []string{Text("result.rule"), Text("result.kept"), Text("result.broken_by"), Text("result.lowest_hub"),
		Text("result.first_tower"), Text("result.source")}}
	for _, r := range best.Siting {
		kept := Text("result.yes")
		if r.Broken {
			kept = Text("result.no")
		}
		first, ok := clears[r.Rule]
		if !ok {
			first = unknown
		}
		t.Rows = append(t.Rows, []string{e.sentence(r.Words), kept, plainly(strings.Join(r.By, ", ")), e.length(r.LowestHubM), first, r.Source})
	}
	s.Tables = append(s.Tables, t)
	return s
}

func extremeSection(e shownEstimate) ResultSection {
	s := ResultSection{ID: "extreme", Title: Text("result.extreme")}
	x := e.ExtremeWind
	if x == nil {
		if e.ExtremeWindMissing != "" {
			s.Words = []string{e.sentence(e.ExtremeWindMissing)}
		}
		return s
	}
	t := Table{Caption: Text("result.extreme_table", e.length(x.HeightM)), Head: []string{Text("result.what"), e.SpeedSign()}}
	add := func(key string, v *float64) {
		if v != nil {
			t.Rows = append(t.Rows, []string{Text(key), e.speedFigure(v)})
		}
	}
	add("result.gust_50", x.Gust50YearMS)
	add("result.gust_50_high", x.Gust50YearHighMS)
	add("result.gust_rule", x.RuleGustMS)
	if x.Class != "" {
		t.Rows = append(t.Rows, []string{Text("result.gust_class", x.Class), e.speedFigure(x.ClassGustMS)})
	}
	if len(t.Rows) > 0 {
		s.Tables = append(s.Tables, t)
	}
	s.Words = []string{Text("result.extreme_basis", wordsFor("result.maxima.", x.Basis), x.Maxima, three(x.Years))}
	if x.Caution != "" {
		s.Warnings = []string{e.sentence(x.Caution)}
	}
	return s
}

// Distances of the siting rules, m: 300 and 500 international feet (1959).
const (
	threeHundredFeet = 91.44
	fiveHundredFeet  = 152.4
)

// sitePlan draws the obstacles with the circles of the rules that were judged, and of the fall.
func sitePlan(e shownEstimate, best *openapi.HeightEstimate) chart.Chart {
	d := chart.Plan{Units: units(e)}
	all := e.Request.Site.Obstacles
	if all == nil || len(*all) == 0 {
		return chart.SitePlan(d)
	}
	breaks, judged := map[string]bool{}, map[float64]bool{}
	for _, rule := range best.Siting {
		for _, name := range rule.By {
			breaks[name] = true
		}
		switch {
		case strings.Contains(rule.Rule, "300_ft"):
			judged[threeHundredFeet] = true
		case strings.Contains(rule.Rule, "500_ft"), rule.Rule == "three_heights":
			judged[fiveHundredFeet] = true
		}
	}
	for i := range *all {
		o := &(*all)[i]
		name := orNothing(o.Name)
		p := chart.PlanObstacle{Name: cmp.Or(name, obstacleName(i)), BearingDeg: o.BearingDeg, DistanceM: o.DistanceM, HeightM: o.HeightM, WidthM: o.WidthM}
		p.BreaksRule = breaks[cmp.Or(name, "site.obstacles["+strconv.Itoa(i)+"]")] // what an estimate calls one without a name
		d.Obstacles = append(d.Obstacles, p)
	}
	const tips = 1.5 // times the height of the blade's tip, as the caution on the fall has it
	fall := best.HubHeightM + orZero(rotorOf(e))/2
	d.Circles = append(d.Circles, chart.PlanCircle{RadiusM: tips * fall, Words: Text("result.fall_zone")})
	for _, r := range []float64{threeHundredFeet, fiveHundredFeet} {
		if judged[r] {
			d.Circles = append(d.Circles, chart.PlanCircle{RadiusM: r, Words: Text("result.rule_circle", e.length(&r))})
		}
	}
	return chart.SitePlan(d)
}

// rotorOf is the rotor's diameter, m; nil where the estimate does not tell.
func rotorOf(e shownEstimate) *float64 {
	if t := &e.Request.Turbine; t.RotorDiameterM != nil {
		return t.RotorDiameterM
	} else if t.Design != nil {
		return &t.Design.Rotor.DiameterM
	}
	return nil
}
