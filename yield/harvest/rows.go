package harvest

import (
	"slices"
	"time"
)

// readings makes readings of a table's rows.
func (t *table) readings() ([]Reading, *gathering) {
	g := &gathering{offset: t.offset, seen: map[string]int{}}
	if n := len(t.rows); n > 1 && t.rows[0].at.EndUnix > t.rows[n-1].at.EndUnix {
		slices.Reverse(t.rows) // the latest first
	}
	daily := t.daily()
	var out []Reading
	days := 0
	for i := range t.rows {
		row := &t.rows[i]
		if t.putBack(i) && len(out) > 0 {
			last := &out[len(out)-1]
			if t.meter {
				g.warn("clock_put_back", "line %d repeats an hour of the clock, as when summer time ends, and the counter goes on: the row is left out, nothing is lost",
					row.line)
			} else {
				last.KWh += row.kwh
				g.warn("clock_put_back", "line %d repeats an hour of the clock, as when summer time ends: its energy is added to the row before", row.line)
			}
			continue
		}
		r := Reading{AtUnix: row.at.EndUnix, Meter: t.meter, KWh: row.kwh}
		if row.at.Fineness == ADay {
			days++
		}
		switch {
		case t.meter:
			r.AtUnix = row.at.ReadAt()
		case row.began:
			r.FromUnix = row.from.BeginUnix
		case row.at.Fineness == AMonth, daily && row.at.Fineness == ADay:
			r.FromUnix = row.at.BeginUnix
		}
		out = append(out, r)
	}
	switch {
	case days == 0 || t.from >= 0 && !t.meter:
	case t.meter:
		g.warn("time_assumed", "%d counters have a day without an hour: they are taken as read at noon", days)
	case daily:
		g.warn("time_assumed", "most rows are a day apart: each energy is taken as that of its day")
	default:
		g.warn("time_assumed", "rows are not a day apart: each energy is taken as that of the time since the row before, up to the end of its day")
	}
	return out, g
}

// daily reports whether most rows are a day apart.
func (t *table) daily() bool {
	var begins []int64
	for i := range t.rows {
		if t.rows[i].at.Fineness != ADay {
			return false
		}
		begins = append(begins, t.rows[i].at.BeginUnix)
	}
	slices.Sort(begins)
	one := 0
	for i := 1; i < len(begins); i++ {
		if begins[i]-begins[i-1] <= secondsPerDay {
			one++
		}
	}
	return 2*one >= len(begins)-1
}

// putBack reports whether a row's time was there already because the clock was put back: by night on a Sunday, as summer times end
// wherever there are any, and with a counter that goes on.
func (t *table) putBack(i int) bool {
	row := &t.rows[i]
	if row.began || row.at.Fineness != AMoment || row.at.Zoned {
		return false
	}
	local := time.Unix(row.at.EndUnix+t.offset, 0).UTC()
	if local.Weekday() != time.Sunday || local.Hour() > 3 {
		return false
	}
	const hourOfMinutes = 60
	for k := max(0, i-hourOfMinutes); k < i; k++ {
		if before := &t.rows[k]; before.at.EndUnix == row.at.EndUnix {
			return !t.meter || row.kwh > before.kwh
		}
	}
	return false
}
