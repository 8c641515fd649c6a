package drive

import (
	"fmt"
	"strings"

	"mastworth/resource"
)

// Tip speeds, m/s, at which something changes.
const (
	tipSpeedCautionMS = 70  // home-made blades; also loud (judgement)
	compressibleMS    = 100 // 0.3 of the speed of sound, the usual end of flow without compression
	soundMS           = 340 // in air of 15 °C, ISO 2533
)

// StormWarnings tells how fast the rotor can come to without its load, what that makes of the tips and of the voltage, with
// the numbers of the result: for a caller who solved its points with a rotor that follows the wind. load is the machine's.
// LoadLost is the figure to reckon with; Runaway is what comes if the furling sticks as well.
func (r *Result) StormWarnings(load Load) []resource.Warning {
	var out []resource.Warning
	r.stormCautions(load, func(code, format string, args ...any) {
		out = append(out, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	})
	return out
}

func (r *Result) stormCautions(load Load, add adder) {
	o := &r.Overspeed
	if _, free := load.(NoLoad); o.Runaway.TipSpeedMS > tipSpeedCautionMS {
		add("overspeed", "%s Home-made blades can burst. Never run it without load, and give it a furling that needs no current.", overspeedWords(o, free))
	}
	tipCaution(r, add)
	if o.Runaway.VoltsV > touchVolts {
		furled := ""
		if o.LoadLost.VoltsV < o.Runaway.VoltsV {
			furled = fmt.Sprintf(", and %.0f V if furling works", o.LoadLost.VoltsV)
		}
		add("open_voltage", "With the line cut in %d m/s the generator gives %.0f V, direct current%s; above about %d V it is dangerous to touch, "+
			"and rectifier and converter must bear it.", OverspeedMS, o.Runaway.VoltsV, furled, touchVolts)
	}
}

func (t *train) overspeedCautions(r *Result, add adder) {
	o := &r.Overspeed
	r.stormCautions(t.machine.Load, add)
	above := t.at(OverspeedMS, t.through(OverspeedMS), fromAbove)
	if above.RotorRPM > 1.05*o.OnLoad.RotorRPM && o.OnLoad.RotorRPM > 0 {
		add("load_does_not_catch", "Come to from rest, the load holds the rotor at %.0f rpm in %d m/s. Put back on a rotor that has run away, "+
			"it brings it down to %.0f rpm only. Brake at low speed.", o.OnLoad.RotorRPM, OverspeedMS, above.RotorRPM)
	}
}

// overspeedWords tells the fastest free rotor and in which wind it is so fast. Furling does not hold a free rotor to what it turns
// in the storm: it was faster on the way there.
func overspeedWords(o *Overspeed, free bool) string {
	onLoad := fmt.Sprintf("; on load it turns at %.0f rpm in %d m/s", o.OnLoad.RotorRPM, OverspeedMS)
	if free || o.OnLoad.RotorRPM == 0 {
		onLoad = ""
	}
	if o.LoadLost.ThroughRotorMS >= o.Runaway.ThroughRotorMS {
		return fmt.Sprintf("With the load lost the rotor runs up to %.0f rpm in %d m/s, its tips at %.0f m/s%s.", o.Runaway.RotorRPM, OverspeedMS,
			o.Runaway.TipSpeedMS, onLoad)
	}
	return fmt.Sprintf("With the load lost the rotor runs up to %.0f rpm, its tips at %.0f m/s, in a wind of %s m/s, where furling begins to hold it, "+
		"if it works; if it sticks, to %.0f rpm in %d m/s, its tips at %.0f m/s%s.", o.LoadLost.RotorRPM, o.LoadLost.TipSpeedMS, metres(o.LoadLost.WindMS),
		o.Runaway.RotorRPM, OverspeedMS, o.Runaway.TipSpeedMS, onLoad)
}

// tipCaution tells of tips that are faster than the method knows.
func tipCaution(r *Result, add adder) {
	o := &r.Overspeed
	from := 0.0
	for i := range r.Points {
		if r.Points[i].TipSpeedMS > compressibleMS {
			from = r.Points[i].WindMS
			break
		}
	}
	top, when := o.LoadLost.TipSpeedMS, "with the load lost"
	if o.Runaway.TipSpeedMS > top {
		top, when = o.Runaway.TipSpeedMS, "with the load lost and furling stuck"
	}
	if !(top > compressibleMS) && from == 0 {
		return
	}
	var words strings.Builder
	fmt.Fprintf(&words, "The blades' figures hold for tips up to about %d m/s, three tenths of the speed of sound. ", compressibleMS)
	if from > 0 {
		fmt.Fprintf(&words, "On load the tips are faster from %s m/s of wind on: the power there is beyond the method, too high, and the machine loud. ", metres(from))
	}
	switch {
	case top > soundMS:
		fmt.Fprintf(&words, "%s they would come to %.0f m/s, faster than sound at %d m/s: no such rotor gets there. It loses its drive before, or it "+
			"bursts; the figure says only that nothing holds it.", capital(when), top, soundMS)
	case top > compressibleMS:
		fmt.Fprintf(&words, "%s they would come to %.0f m/s; the real ones stay somewhat slower, by how much is beyond the method.", capital(when), top)
	}
	add("tips_beyond_method", "%s", strings.TrimSpace(words.String()))
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// metres is a wind in words: one decimal, and the least wind there is rather than none.
func metres(windMS float64) string {
	if windMS < 0.05 {
		return "less than 0.1"
	}
	return fmt.Sprintf("%.1f", windMS)
}
