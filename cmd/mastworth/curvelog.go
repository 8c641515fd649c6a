package main

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/yield/assess"
)

// logFlags are the options of a log in a file of its own. Each stands for a field of a document's test_log, which holds them
// to their ranges.
type logFlags struct {
	c       *cobra.Command
	numbers map[string]*float64
	wholes  map[string]*int
	sectors *[]string
	held    *string
}

var nan = math.NaN()

// logPlaces are the flags by the place that a document has them at.
var logPlaces = map[string]string{
	"rotor_diameter_m": "rotor-diameter-m", "regulation": "regulation", "test_log.leave_out": "leave-out-deg", "test_log.averaging_s": "averaging-s",
	"test_log.power_shift_s": "power-shift-s", "test_log.sensor_height_m": "sensor-height-m", "test_log.hub_height_m": "hub-height-m",
	"test_log.shear_exponent": "shear-exponent", "test_log.elevation_m": "elevation-m", "test_log.cut_out_m_s": "cut-out-m-s",
	"test_log.generator.volts_per_rpm": "volts-per-rpm", "test_log.generator.resistance_ohm": "generator-ohm",
	"test_log.generator.battery_v": "battery-v", "test_log.generator.load_ohm": "load-ohm", "test_log.generator": "volts-per-rpm",
}

func newLogFlags(c *cobra.Command) *logFlags {
	f := &logFlags{c: c, numbers: map[string]*float64{}, wholes: map[string]*int{}}
	for _, n := range []struct{ name, help string }{
		{"rotor-diameter-m", "of the rotor; needed for a log"},
		{"sensor-height-m", "of the wind sensor above ground; left out, as the log's columns say, else at the hub"},
		{"hub-height-m", "of the machine; left out, that of the wind sensor"},
		{"shear-exponent", "of the power law between sensor and hub; left out, 0.2, with a warning"},
		{"elevation-m", "above sea level, where no pressure was logged"},
		{"cut-out-m-s", "wind up to which the extrapolated energy reaches; left out, 25"},
		{"volts-per-rpm", "of the generator, open and behind the rectifier, for a log with its turns alone"},
		{"generator-ohm", "resistance of the generator's winding, beside --volts-per-rpm"},
		{"battery-v", "of the battery it charges, beside --volts-per-rpm"},
		{"load-ohm", "of the resistor it feeds in place of a battery, beside --volts-per-rpm"},
	} {
		f.numbers[n.name] = c.Flags().Float64(n.name, 0, n.help)
	}
	for _, n := range []struct{ name, help string }{
		{"averaging-s", "averaging period; left out, a minute, or the log's step"},
		{"power-shift-s", "by how many seconds to move the power's clock"},
	} {
		f.wholes[n.name] = c.Flags().Int(n.name, 0, n.help)
	}
	f.held = c.Flags().String("regulation", "none", "how power is held in strong wind: furling, stall, pitch, none")
	f.sectors = c.Flags().StringArray("leave-out-deg", nil, "a sector of wind directions not to use, as FROM-TO in degrees, such as 90-120")
	return f
}

// number is a flag's value; nil where it was not given.
func (f *logFlags) number(name string) *float64 {
	if !f.c.Flags().Changed(name) {
		return nil
	}
	return f.numbers[name]
}

func (f *logFlags) whole(name string) *int {
	if !f.c.Flags().Changed(name) {
		return nil
	}
	return f.wholes[name]
}

// turbine is the machine of a log in a file.
func (f *logFlags) turbine(file string) (assess.Turbine, error) {
	if f.number("rotor-diameter-m") == nil {
		return assess.Turbine{}, usageError{errors.New("a log needs --rotor-diameter-m, without which no slip of a unit can be seen")}
	}
	held := openapi.TurbineInputRegulation(*f.held)
	if !held.Valid() {
		return assess.Turbine{}, usageError{fmt.Errorf("--regulation must be furling, stall, pitch or none, not %q", *f.held)}
	}
	log := &openapi.TestLogInput{Record: openapi.RecordInput{File: &file}, AveragingS: f.whole("averaging-s"), PowerShiftS: f.whole("power-shift-s"),
		SensorHeightM: f.number("sensor-height-m"), HubHeightM: f.number("hub-height-m"), ShearExponent: f.number("shear-exponent"),
		ElevationM: f.number("elevation-m"), CutOutMS: f.number("cut-out-m-s")}
	for _, text := range *f.sectors {
		from, to, ok := strings.Cut(text, "-")
		a, err := strconv.ParseFloat(from, 64)
		b, err2 := strconv.ParseFloat(to, 64)
		if !ok || err != nil || err2 != nil {
			return assess.Turbine{}, usageError{fmt.Errorf("--leave-out-deg is FROM-TO in degrees, such as 90-120, not %q", text)}
		}
		log.LeaveOut = append(log.LeaveOut, []float64{a, b})
	}
	var err error
	if log.Generator, err = f.generator(); err != nil {
		return assess.Turbine{}, err
	}
	in := openapi.TurbineInput{RotorDiameterM: f.number("rotor-diameter-m"), Regulation: &held, TestLog: log}
	if faults := document.CheckTurbine(&in); len(faults) > 0 {
		invalid := &assess.InvalidError{}
		for _, x := range faults {
			invalid.Fields = append(invalid.Fields, assess.FieldError{Location: x.Location, Detail: x.Detail})
		}
		return assess.Turbine{}, inFlags(file, invalid)
	}
	turbine, _ := document.ToTurbine(in)
	return turbine, nil
}

func (f *logFlags) generator() (*openapi.LogGenerator, error) {
	volts, ohm := f.number("volts-per-rpm"), f.number("generator-ohm")
	battery, load := f.number("battery-v"), f.number("load-ohm")
	switch {
	case volts == nil && ohm == nil && battery == nil && load == nil:
		return nil, nil
	case volts == nil || ohm == nil:
		return nil, usageError{errors.New("power from the generator's turns needs both --volts-per-rpm and --generator-ohm")}
	case battery != nil && load != nil:
		return nil, usageError{errors.New("give one of --battery-v and --load-ohm, not both")}
	}
	return &openapi.LogGenerator{VoltsPerRPM: *volts, ResistanceOhm: *ohm, BatteryV: battery, LoadOhm: load}, nil
}

// mapFaults changes the faults of an *assess.InvalidError; any other error stays.
func mapFaults(err error, change func(*assess.FieldError)) error {
	var invalid *assess.InvalidError
	if !errors.As(err, &invalid) {
		return err
	}
	out := &assess.InvalidError{Fields: append([]assess.FieldError(nil), invalid.Fields...)}
	for i := range out.Fields {
		change(&out.Fields[i])
	}
	return out
}

var shiftAsked = regexp.MustCompile(`ask for the power to be moved by (-?\d+) s`)

// inFields says in a document's words what to do about clocks that differ.
func inFields(err error) error {
	return mapFaults(err, func(f *assess.FieldError) {
		f.Detail = shiftAsked.ReplaceAllString(f.Detail, "set test_log.power_shift_s to $1")
	})
}

// inFlags says where a flag is at fault rather than a field, and the same for the remedies.
func inFlags(file string, err error) error {
	var invalid *assess.InvalidError
	if !errors.As(err, &invalid) {
		return err
	}
	lines := make([]string, len(invalid.Fields))
	for i, f := range invalid.Fields {
		at := strings.TrimPrefix(strings.TrimPrefix(f.Location, "turbine"), ".")
		place, index, _ := strings.Cut(at, "[")
		if flag, ok := logPlaces[place]; ok {
			at = "--" + flag
			if n, err := strconv.Atoi(strings.TrimSuffix(index, "]")); err == nil {
				at += fmt.Sprintf(" (the %s)", ordinal(n+1))
			}
		} else {
			at = file
		}
		lines[i] = at + ": " + flagWords(shiftAsked.ReplaceAllString(f.Detail, "give --power-shift-s $1"))
	}
	return usageError{errors.New(strings.Join(lines, "\n  "))}
}

// ordinal is 1st, 2nd, 3rd and so on.
func ordinal(n int) string {
	end := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return strconv.Itoa(n) + end
}

// powerSource says which columns the power of a log comes from; empty where it has none. The order is that of the log's use.
func powerSource(s *resource.Series, heightM float64) string {
	name := func(q resource.Quantity) string {
		if i := s.Find(q, heightM); i >= 0 {
			return strconv.Quote(s.Channels[i].Name)
		}
		return ""
	}
	volts, amps, turns := name(resource.Voltage), name(resource.Current), name(resource.ShaftSpeed)
	switch power := name(resource.Power); {
	case power != "":
		return power
	case volts != "" && amps != "":
		return volts + " times " + amps
	case turns != "" && volts != "":
		return turns + " and " + volts + ", by the generator's constant"
	case turns != "":
		return turns + ", by the generator's constant"
	}
	return ""
}

// usable says what a log lacks, and how to name the column that has it.
func usable(name string, read *recordRead) error {
	s := read.series
	speed := s.Find(resource.Speed, nan)
	if speed >= 0 && powerSource(s, s.Channels[speed].HeightM) != "" {
		return nil
	}
	lacks, remedy := "power, nor volts and amps, nor the generator's turns", "--column NAME=power,unit=W (or =voltage and =current, or =shaft_speed)"
	if speed < 0 {
		lacks, remedy = "wind speed", "--column NAME=speed,unit=m/s"
	}
	text := fmt.Sprintf("%s: no column of %s was recognised; say which it is with %s", name, lacks, remedy)
	if unused := unusedColumns(&read.report); len(unused) > 0 {
		text += ". Columns not used: " + strings.Join(unused, ", ")
	}
	return usageError{errors.New(text)}
}

// generatorKnown says what the power of a log with the generator's turns alone needs.
func generatorKnown(name string, read *recordRead, t *assess.Turbine) error {
	s := read.series
	has := func(q resource.Quantity) bool { return s.Find(q, nan) >= 0 }
	if t.TestLog.Options.Generator.ConstantVsPerRad != 0 || has(resource.Power) || has(resource.Voltage) && has(resource.Current) {
		return nil
	}
	needs := "--volts-per-rpm and --generator-ohm, with --battery-v or --load-ohm"
	if !read.byFlags {
		needs = "test_log.generator with volts_per_rpm and resistance_ohm, and battery_v or load_ohm"
	}
	return usageError{fmt.Errorf("%s: the log has the generator's turns alone: for its power give %s", name, needs)}
}
