package ingest

import "slices"

// findClock finds the columns that make the stamp: those the user named, or else those that look like it.
func (p *plan) findClock() error {
	c := newClock()
	c.order = dateOrders[p.o.DateOrder]
	layout, _ := newTimeLayout(p.o.TimeLayout)
	c.layout = layout
	p.clock = c
	named := p.namedParts()
	switch {
	case p.clock.date >= 0 || p.clock.year >= 0:
	case p.textStamp(), p.dateAndTime(), p.parts(), p.compactStamp(), p.countedStamp(), p.dateAlone(), p.layoutColumn():
	default:
		if named {
			return &ReadError{Line: p.sheet.headerLine, Reason: "the named columns make no stamp",
				Remedy: "name a column of type time, or date, or year with month and day"}
		}
		return p.noStamps()
	}
	if d := p.clock.date; d >= 0 && p.clock.order == anyOrder {
		p.clock.order = p.columns[d].order
	}
	p.timeForms()
	return nil
}

// namedParts takes the parts of the stamp that Options.Columns names.
func (p *plan) namedParts() bool {
	named := false
	for i := range p.columns {
		if !p.columns[i].given {
			continue
		}
		if slot := p.clock.slot(p.columns[i].role); slot != nil {
			*slot = i
			named = true
		}
	}
	return named
}

// slot is where the column of a part of the stamp is kept; nil for other roles.
func (c *clock) slot(role string) *int {
	switch role {
	case ColumnTime, ColumnDate:
		return &c.date
	case ColumnTimeOfDay:
		return &c.time
	case ColumnYear:
		return &c.year
	case ColumnMonth:
		return &c.month
	case ColumnDay:
		return &c.day
	case ColumnYearDay:
		return &c.yday
	case ColumnHour:
		return &c.hour
	case ColumnMinute:
		return &c.minute
	case ColumnSecond:
		return &c.second
	}
	return nil
}

// best is the column with the highest score above zero, −1 for none.
func (p *plan) best(score func(i int) int) int {
	best, most := -1, 0
	for i := range p.columns {
		if p.columns[i].given || p.columns[i].measured() && p.shapes[i].full == 0 {
			continue
		}
		if s := score(i); s > most {
			best, most = i, s
		}
	}
	return best
}

// namedTime scores a name: stamps that begin the step before others before those that end it.
func (p *plan) namedTime(i int) int {
	c := &p.columns[i]
	score := 0
	if c.role == ColumnTime || c.role == ColumnDate || c.role == ColumnTimeOfDay {
		score += 4
	}
	switch c.ends {
	case StampsBegin:
		score += 2
	case StampsEnd:
		score--
	}
	return score
}

// textStamp takes a column of date and time in one; one that states its offset from UTC goes first.
func (p *plan) textStamp() bool {
	i := p.best(func(i int) int {
		s := &p.shapes[i]
		if !s.mostly(s.full+s.date) || s.full == 0 || s.digitRuns > 0 {
			return 0
		}
		score := 2 + p.namedTime(i)
		if s.zoned > 0 {
			score += 8
		}
		return score
	})
	if i < 0 || p.shapes[i].midnight == p.shapes[i].full && p.clockColumn() >= 0 {
		return false // a date that a spreadsheet gave a time
	}
	p.clock.date = i
	return true
}

// clockColumn is the column of times of day written with a colon, −1 for none.
func (p *plan) clockColumn() int {
	return p.best(func(i int) int {
		if s := &p.shapes[i]; s.mostly(s.clock) {
			return 2 + p.namedTime(i)
		}
		return 0
	})
}

func (p *plan) dateColumn() int {
	return p.best(func(i int) int {
		s := &p.shapes[i]
		if !s.mostly(s.date+s.midnight) || s.digitRuns > 0 && p.columns[i].role == "" {
			return 0
		}
		return 2 + p.namedTime(i)
	})
}

// dateAndTime takes a date and a time of day from two columns, the latter text, or a number under a telling name.
func (p *plan) dateAndTime() bool {
	date := p.dateColumn()
	if date < 0 {
		return false
	}
	clock := p.clockColumn()
	if clock < 0 {
		clock = p.numericTime(date)
	}
	if clock < 0 {
		if p.role(ColumnHour) < 0 {
			return false
		}
		p.hourColumns()
	}
	p.clock.date, p.clock.time = date, clock
	return true
}

// numericTime is a column of hours, or of hours and minutes as in 1430.
func (p *plan) numericTime(date int) int {
	return p.best(func(i int) int {
		s, c := &p.shapes[i], &p.columns[i]
		if i == date || !s.mostly(s.whole) || s.least < 0 || s.most > 2400 || c.role != ColumnTime && c.role != ColumnTimeOfDay {
			return 0
		}
		return 1
	})
}

func (p *plan) role(role string) int {
	return slices.IndexFunc(p.columns, func(c planned) bool { return c.role == role && !c.given })
}

// parts takes year, month, day and so on from columns of their own.
func (p *plan) parts() bool {
	year, month, day, yday := p.role(ColumnYear), p.role(ColumnMonth), p.role(ColumnDay), p.role(ColumnYearDay)
	if year < 0 || yday < 0 && month < 0 {
		return false
	}
	p.clock.year = year
	if yday >= 0 && (month < 0 || day < 0) {
		p.clock.yday = yday
	} else {
		p.clock.month, p.clock.day = month, day
	}
	p.hourColumns()
	if p.clock.hour < 0 {
		if p.clock.time = p.clockColumn(); p.clock.time < 0 {
			p.clock.time = p.numericTime(-1)
		}
	}
	return true
}

func (p *plan) hourColumns() {
	p.clock.hour, p.clock.minute, p.clock.second = p.role(ColumnHour), p.role(ColumnMinute), p.role(ColumnSecond)
}

// compactStamp takes digits such as 202305311400, or 20230531 with a time beside them.
func (p *plan) compactStamp() bool {
	i := p.best(func(i int) int {
		if p.shapes[i].compact() {
			return 2 + p.namedTime(i)
		}
		return 0
	})
	if i < 0 {
		return false
	}
	p.clock.date = i
	if p.shapes[i].full == 0 {
		if p.clock.time = p.clockColumn(); p.clock.time < 0 {
			if p.clock.time = p.numericTime(i); p.clock.time < 0 {
				p.hourColumns()
			}
		}
	}
	return true
}

// countedStamp takes Unix seconds or milliseconds, and spreadsheet day numbers under a telling name.
func (p *plan) countedStamp() bool {
	var form timeForm
	i := p.best(func(i int) int {
		seconds, milliseconds := p.shapes[i].unix()
		switch {
		case seconds || milliseconds:
			return 2 + p.namedTime(i)
		case p.sheetDays(i):
			return 1
		}
		return 0
	})
	if i < 0 {
		return false
	}
	seconds, milliseconds := p.shapes[i].unix()
	switch {
	case milliseconds:
		form = unixMSTime
	case seconds:
		form = unixTime
	default:
		form = sheetTime
	}
	p.clock.date, p.clock.form = i, form
	return true
}

// sheetDays reports spreadsheet day numbers of the years 1941 to 2119.
func (p *plan) sheetDays(i int) bool {
	s := &p.shapes[i]
	return p.namedTime(i) > 2 && s.mostly(s.number) && s.least > 15000 && s.most < 80000
}

func (p *plan) dateAlone() bool {
	p.clock.date = p.dateColumn()
	return p.clock.date >= 0
}

// layoutColumn takes the column with the most telling name where the user says how its stamps are written.
func (p *plan) layoutColumn() bool {
	if p.clock.layout.form != textTime {
		p.clock.date = p.best(p.namedTime)
	}
	return p.clock.date >= 0
}

// timeForms settles how the columns found are written.
func (p *plan) timeForms() {
	c := &p.clock
	if c.layout.form != textTime {
		c.form = c.layout.form
		return
	}
	if c.time >= 0 {
		s := &p.shapes[c.time]
		if s.mostly(s.whole) && !s.mostly(s.clock) {
			c.form = hourTime
			if s.most > 24 || s.width >= 3 {
				c.form = hhmmTime
			}
		}
		return
	}
	if c.date >= 0 && c.hour < 0 && p.columns[c.date].given {
		s := &p.shapes[c.date]
		seconds, milliseconds := s.unix()
		switch {
		case milliseconds:
			c.form = unixMSTime
		case seconds:
			c.form = unixTime
		case s.mostly(s.number) && !s.compact():
			c.form = sheetTime
		}
	}
}

// noStamps is the error for a table without a time axis.
func (p *plan) noStamps() error {
	if p.role(ColumnYear) < 0 && p.role(ColumnMonth) >= 0 {
		return &ReadError{Line: p.sheet.headerLine, Reason: "there are columns of months and days, but none of years",
			Remedy: "add a column called year"}
	}
	return &ReadError{
		Line:   p.sheet.firstData,
		Reason: "no column of dates and times was recognised among " + some(p.names(), 12),
		Remedy: "say which column holds them (column=NAME=time, or date, time_of_day, year, month, day, hour), and with " +
			"time_layout how they are written",
	}
}
