package ingest

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"mastworth/resource"
)

// planned is one column and what is made of it.
type planned struct {
	column
	given       bool // by Options.Columns
	spec        ColumnSpec
	unitAssumed bool // neither name nor options state its unit
}

// plan is how a table will be read.
type plan struct {
	o        *Options
	rep      *Report
	sheet    *sheet
	columns  []planned
	shapes   []shape
	clock    clock
	channels []channel
	only     []filter
	known    *knownTime
}

// knownTime is what a format fixes about stamps, so that nothing is left to assume.
type knownTime struct {
	clockS int64 // the file's clock less UTC, s
	localS int64 // local standard time less UTC, s
	ends   StampsAt
}

// filter keeps the rows in which a column holds a text.
type filter struct {
	field int
	want  string
}

// newPlan decides what every column is, from the names, the sample and the options.
func newPlan(sh *sheet, o *Options, rep *Report) (*plan, error) {
	p := &plan{o: o, rep: rep, sheet: sh, columns: make([]planned, sh.fields), shapes: make([]shape, sh.fields)}
	for i := range p.columns {
		p.columns[i].column = describe(sh.names[i], sh.units[i])
		p.shapes[i] = shapeOf(sh.sample, i, sh.point)
	}
	p.refine()
	if err := p.applySpecs(); err != nil {
		return nil, err
	}
	p.batteries()
	if err := p.findFilters(); err != nil {
		return nil, err
	}
	if err := p.findClock(); err != nil {
		return nil, err
	}
	p.pickChannels()
	p.noteTwice()
	p.report()
	if len(p.channels) == 0 {
		return nil, p.noChannels()
	}
	return p, nil
}

// refine settles names that the others explain.
func (p *plan) refine() {
	month, day := p.role(ColumnMonth), p.role(ColumnDay)
	says := func(c *column, w string) bool {
		return slices.ContainsFunc(c.words, func(x word) bool { return x.text == w })
	}
	components := slices.ContainsFunc(p.columns, func(c planned) bool { return says(&c.column, "u") })
	for i := range p.columns {
		c := &p.columns[i].column
		switch {
		case month >= 0 && day < 0 && strings.EqualFold(p.sheet.names[i], "dd"):
			*c = column{role: ColumnDay, heightM: math.NaN()}
		case components && c.quantity == resource.Speed && says(c, "v"):
			c.quantity, c.how = 0, "not used: beside u it is a component of the wind, not its speed"
		case c.measured() && p.shapes[i].seen > 0 && p.shapes[i].full+p.shapes[i].date+p.shapes[i].clock > p.shapes[i].seen/2:
			c.quantity, c.how = 0, "not used: it holds times"
		case c.measured() && p.shapes[i].seen > 0 && p.shapes[i].packed > p.shapes[i].seen/2:
			c.quantity, c.how = 0, "not used: each of its fields packs several values together"
		}
	}
}

// applySpecs lays Options.Columns over what was found.
func (p *plan) applySpecs() error {
	for _, spec := range p.o.Columns {
		i, err := p.find(spec.Column, "column")
		if err != nil {
			return err
		}
		was := p.columns[i].column
		c := &p.columns[i]
		c.given, c.spec = true, spec
		c.role, c.quantity, c.how, c.vector = "", 0, "as given", false
		if q, ok := resource.ParseQuantity(spec.Quantity); ok {
			c.quantity = q
		} else {
			c.role = spec.Quantity
		}
		if spec.HeightM > 0 {
			c.heightM, c.bare = spec.HeightM, false
		}
		if c.unit = was.unit; c.unit != nil && c.unit.of != unitOf(c.quantity) {
			c.unit = nil
		}
		if u, ok := unitNamed(spec.Unit); ok {
			c.unit = u
		}
	}
	return nil
}

// find is the index of a column by its name or number.
func (p *plan) find(name, option string) (int, error) {
	name = strings.TrimSpace(name)
	match := -1
	for i, n := range p.sheet.names {
		if n != "" && strings.EqualFold(n, name) {
			if match >= 0 {
				return 0, &ReadError{Line: p.sheet.headerLine, Column: i + 1,
					Reason: fmt.Sprintf("there are two columns called %q", name),
					Remedy: "name the column by its number, counted from 1, in the option " + option}
			}
			match = i
		}
	}
	if match >= 0 {
		return match, nil
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= p.sheet.fields {
		return n - 1, nil
	}
	return 0, &ReadError{Line: p.sheet.headerLine,
		Reason: fmt.Sprintf("there is no column %q, which the option %s names", name, option),
		Remedy: "the columns are " + some(p.names(), 30)}
}

func (p *plan) names() []string {
	out := make([]string, p.sheet.fields)
	for i := range out {
		out[i] = p.sheet.name(i)
	}
	return out
}

func (p *plan) findFilters() error {
	for name, want := range p.o.Only {
		i, err := p.find(name, "only")
		if err != nil {
			return err
		}
		p.only = append(p.only, filter{field: i, want: want})
	}
	slices.SortFunc(p.only, func(a, b filter) int { return a.field - b.field })
	return nil
}

// pickChannels makes channels of the measuring columns.
func (p *plan) pickChannels() {
	stamps := p.clock.fields()
	for i := range p.columns {
		c := &p.columns[i]
		switch {
		case slices.Contains(stamps, i):
		case c.role == ColumnPulses:
			p.addPulses(i)
		case c.measured() && !c.given && p.o.OnlyColumns:
			c.quantity, c.how = 0, "not used: only the columns given are"
		case c.measured() && !c.given && c.vector && p.scalarBeside(i):
			c.quantity, c.how = 0, "not used: a vector mean is lower than the mean speed, which stands beside it"
		case c.measured():
			p.addChannel(i)
		}
	}
	if len(p.channels) == 0 && !p.o.OnlyColumns {
		p.onlyNumber(stamps)
	}
	p.assumeHeights()
}

// scalarBeside reports a mean speed at the same height as the vector mean in column i.
func (p *plan) scalarBeside(i int) bool {
	c := &p.columns[i]
	for j := range p.columns {
		d := &p.columns[j]
		if d.quantity == resource.Speed && !d.vector && (d.heightM == c.heightM || math.IsNaN(d.heightM) && math.IsNaN(c.heightM)) {
			return true
		}
	}
	return false
}

// onlyNumber takes the one column of numbers in a table of two columns for the wind speed.
func (p *plan) onlyNumber(stamps []int) {
	if p.sheet.fields != 2 || len(stamps) != 1 {
		return
	}
	i := 1 - stamps[0]
	if c := &p.columns[i]; !c.given && c.how == "" && c.role == "" && p.shapes[i].mostly(p.shapes[i].number+p.shapes[i].suffixed) {
		c.quantity, c.how = resource.Speed, "the only column of numbers"
		p.rep.assume("column %q is taken for the wind speed, being the only one with numbers", p.sheet.name(i))
		p.addChannel(i)
	}
}

// addChannel makes a channel of a measuring column.
func (p *plan) addChannel(i int) {
	c := &p.columns[i]
	ch := channel{field: i, name: p.sheet.name(i), quantity: c.quantity, heightM: c.heightM, slope: 1, offset: c.spec.Offset, report: i}
	if c.spec.Slope != 0 {
		ch.slope = c.spec.Slope
	}
	if s := &p.shapes[i]; s.suffixed > 0 {
		ch.suffix = s.suffix
		if u, ok := unitNamed(s.suffix); ok && c.unit == nil && u.of == unitOf(c.quantity) {
			c.unit = u
		}
	}
	if c.unit == nil {
		c.unit, c.unitAssumed = p.assumedUnit(i), true
	}
	ch.unit = *c.unit
	if c.how == "" {
		c.how = "by its name"
	}
	ch.prepare(p.o, p.sheet.point)
	ch.judged = ch.mayReach()
	p.channels = append(p.channels, ch)
}

// addPulses makes a speed channel of a column of counts, if there is a calibration.
func (p *plan) addPulses(i int) {
	c := &p.columns[i]
	slope, offset := p.o.Pulse.SlopeMSPerHz, p.o.Pulse.OffsetMS
	if c.given && c.spec.Slope > 0 {
		slope, offset = c.spec.Slope, c.spec.Offset
	}
	if slope <= 0 {
		c.how = "not used: pulses need a calibration; give pulse_slope, m/s for one pulse a second, and pulse_offset"
		c.role = ""
		return
	}
	if !c.given {
		c.how = "pulses, by its name"
	}
	c.quantity = resource.Speed
	ch := channel{field: i, name: p.sheet.name(i), quantity: resource.Speed, heightM: c.heightM, unit: *baseUnit(resource.Speed),
		slope: slope, offset: offset, pulses: true, intervalS: p.o.Pulse.IntervalS, report: i}
	if c.hertz && !c.given {
		ch.intervalS = 1
	}
	ch.prepare(p.o, p.sheet.point)
	ch.judged = ch.mayReach()
	p.channels = append(p.channels, ch)
}

// report lists the columns.
func (p *plan) report() {
	stamps := p.clock.fields()
	p.rep.Columns = make([]ColumnReport, p.sheet.fields)
	for i := range p.columns {
		c, r := &p.columns[i], &p.rep.Columns[i]
		*r = ColumnReport{Number: i + 1, Name: p.sheet.names[i], HeightM: c.heightM, How: c.how}
		switch {
		case slices.Contains(stamps, i):
			r.Quantity, r.How = p.stampRole(i), "part of the stamp"
			if c.given {
				r.How = "as given"
			}
		case c.role == ColumnPulses:
			r.Quantity = ColumnPulses
		case c.measured():
			r.Quantity, r.Unit = c.quantity.String(), c.unit.name
		case c.role == ColumnIgnore:
			r.How = "not used, as asked"
		case r.How == "" && c.role != "":
			r.How = "not used: the stamp is read from other columns"
		case r.How == "":
			r.How = "not used: nothing known in its name"
		}
	}
}

// stampRole is what a column gives to the stamp.
func (p *plan) stampRole(i int) string {
	for _, role := range columnRoles {
		if slot := p.clock.slot(role); slot != nil && *slot == i {
			if role == ColumnTime && (p.clock.time >= 0 || p.clock.hour >= 0) {
				return ColumnDate
			}
			return role
		}
	}
	return ""
}

// noChannels is the error for a table in which no measurement was recognised.
func (p *plan) noChannels() error {
	e := &ReadError{
		Line:   p.sheet.headerLine,
		Reason: "no column of wind speed or another measurement was recognised among " + some(p.names(), 20),
		Remedy: "say what the columns hold, such as column=NAME=speed,height=10,unit=km/h",
	}
	for i := range p.columns {
		if strings.HasPrefix(p.columns[i].how, "not used: pulses need") {
			e.Reason = fmt.Sprintf("column %q counts pulses, and there is no calibration to make speeds of them", p.sheet.name(i))
			e.Remedy = "give pulse_slope, m/s for one pulse a second, and pulse_offset"
		}
	}
	if p.sheet.headerLine == 0 {
		e.Reason += "; no line with their names was found"
	}
	return e
}
