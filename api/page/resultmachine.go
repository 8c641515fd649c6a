package page

import (
	"mastworth/openapi"
)

func machineSection(e shownEstimate) ResultSection {
	s := ResultSection{ID: "machine", Title: Text("result.machine")}
	t := &e.Request.Turbine
	facts := Table{Caption: Text("result.machine_facts"), Wordy: true, Head: []string{Text("result.what"), Text("result.value")}}
	add := func(key, value string) {
		if value != unknown && value != "" {
			facts.Rows = append(facts.Rows, []string{Text(key), value})
		}
	}
	add("result.machine_name", orNothing(t.Name))
	add("result.rotor", e.length(rotorOf(e)))
	add("result.rated", unit(three(t.RatedPowerW), "W"))
	if t.Regulation != nil {
		add("result.regulation", wordsFor("result.regulation.", string(*t.Regulation)))
	}
	if m := e.Machine; m != nil && m.Design != nil {
		designFacts(m.Design, e.Units, add)
		s.Words = append(s.Words, e.sentence(m.Design.GearReading))
		for _, w := range m.Design.Warnings {
			s.Warnings = append(s.Warnings, e.sentence(e.tips(m.Design, w.Detail)))
		}
	}
	if m := e.Machine; m != nil && m.Measured != nil {
		add("result.hours", unit(three(m.Measured.TotalHours), "h"))
		add("curves.cut_in", e.speed(m.Measured.CutInMS))
		add("result.peak_cp", three(m.Measured.PeakCp))
		for _, missing := range m.Measured.Missing {
			s.Words = append(s.Words, e.sentence(missing))
		}
		for _, w := range m.Measured.Warnings {
			s.Warnings = append(s.Warnings, e.sentence(w.Detail))
		}
	}
	if len(facts.Rows) > 0 {
		s.Tables = append(s.Tables, facts)
	}
	if m := e.Machine; m != nil && m.Design != nil {
		s.Tables = append(s.Tables, statesTable(m.Design, e.Units))
	}
	if m := e.Machine; m != nil && len(m.Matching) > 0 {
		s.Tables = append(s.Tables, matchingTable(m.Matching))
	}
	return s
}

// tips has a warning tell the speeds of blade tips as the table of states does.
func (u Units) tips(d *openapi.DesignResult, words string) string {
	return u.exactly(words, "%.0f", d.OnLoad.TipSpeedMS, d.LoadLost.TipSpeedMS, d.Runaway.TipSpeedMS)
}

func designFacts(d *openapi.DesignResult, u Units, add func(key, value string)) {
	add("curves.best_cp", three(d.BestCp))
	add("curves.best_tsr", three(d.BestTipSpeedRatio))
	add("result.solidity", share(d.Solidity))
	add("curves.start", u.speed(d.StartWindMS))
	add("curves.cut_in", u.speed(d.CutInMS))
	add("curves.furl", u.speed(d.FurlMS))
}

// statesTable is what a designed machine does at work, without its load, and running away.
func statesTable(d *openapi.DesignResult, u Units) Table {
	t := Table{Caption: Text("result.states"), Head: []string{Text("result.state"), amount("result.state_wind", u.SpeedSign()), amount("result.turns_minute", "1/min"), amount("result.tip", u.SpeedSign()),
		amount("result.current", "A"), amount("result.thrust", "N"), amount("result.delivered", "W")}}
	for _, one := range []struct {
		key string
		at  *openapi.OperatingPoint
	}{{"result.on_load", &d.OnLoad}, {"result.load_lost", &d.LoadLost}, {"result.runaway", &d.Runaway}} {
		t.Rows = append(t.Rows, []string{Text(one.key), u.speedFigure(&one.at.WindMS), three(one.at.RotorRPM), u.speedFigure(one.at.TipSpeedMS), three(one.at.CurrentA), three(one.at.ThrustN),
			three(one.at.DeliveredW)})
	}
	return t
}

// mostMatches is how many rows of a sweep are shown: the best.
const mostMatches = 12

func matchingTable(all []openapi.MatchCandidate) Table {
	t := Table{Caption: Text("result.matching"), Long: true, Wordy: true, Head: []string{Text("result.gear"), Text("result.battery"), amount("result.peak", "W"), amount("result.net_energy", "kWh"), Text("result.why")}}
	for i := range all[:min(len(all), mostMatches)] {
		m := &all[i]
		t.Rows = append(t.Rows, []string{Text("result.gear_ratio", three(&m.GeneratorPerRotor)), unit(three(m.BatteryVoltsV), "V"), three(m.PeakW), three(m.AnnualKWh), sentence(m.Why)})
	}
	return t
}
