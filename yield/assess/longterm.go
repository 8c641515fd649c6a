package assess

import (
	"fmt"
	"math"
	"slices"
	"time"

	"mastworth/resource"
	"mastworth/resource/longterm"
)

// stretch puts the record in the place of which it holds a part: the time of the reference.
func (a *assessment) stretch(w *recordWind) (source, error) {
	ask := a.r.Wind.LongTerm
	ref := ask.Reference.Series
	judged := w.judged()
	columns := []*speedColumn{judged} // first the one the clocks are compared by; none that may not carry the estimate
	for i := range w.columns {
		if c := &w.columns[i]; c != judged && w.serves(c) {
			columns = append(columns, c)
		}
	}
	channels := make([]int, len(columns))
	for i, c := range columns {
		channels[i] = c.index
	}
	ref, filled := resource.FillShadow(ref)
	for _, f := range filled {
		a.warn("shadow_filled", "%d speeds of the reference's %q in the shadow of its mast were taken from %q beside it", f.N,
			ref.Channels[f.Channel].Name, ref.Channels[f.From].Name)
	}
	for _, n := range ask.Reference.Notes {
		a.warn(n.Code, "of the reference: %s", n.Detail)
	}
	refChannel := nearestSpeed(ref, judged.heightM, ask.Reference.HeightM)
	if refChannel < 0 {
		return nil, invalid("wind.long_term.reference", "the record %q has no wind speed", ask.Reference.Ref)
	}
	series, results, err := longterm.PredictAll(w.series, channels, ref, refChannel, longterm.Options{
		Method: ask.Method, Sectors: ask.Sectors, MaxShiftS: int64(ask.MaxShiftS),
	})
	if err != nil {
		return nil, invalid("wind.long_term", "%s", err)
	}
	series = a.airOf(series, w.series, ref)
	out, err := newRecordWind(w.rec, series, a.r.Wind.Rose)
	if err != nil {
		return nil, err
	}
	a.stretched = map[float64]*longterm.Result{}
	for i, c := range columns {
		a.stretched[c.heightM] = &results[i]
	}
	told := &results[0]
	a.warnings = append(a.warnings, told.Warnings...)
	if s := math.Abs(float64(told.ShiftS)); s > 0 && s >= ask.MaxShiftS {
		a.warn("long_term_shift_at_limit", "the two records match best with their clocks %.3g h apart, where the search ended: raise "+
			"wind.long_term.max_shift_hours, or set utc_offset of both records right", s/3600)
	}
	out.before, out.uncertainty = w, told.StandardUncertainty
	day := func(unix int64) string { return time.Unix(unix+ref.UTCOffsetS, 0).UTC().Format("2006-01-02") }
	a.sources = append(a.sources, Provenance{
		What: "wind.long_term",
		Method: fmt.Sprintf("%s of %q on %q over the time both have, r² %.2f; its prediction over the reference's time feeds the rest",
			methodWords[ask.Method], w.series.Channels[judged.index].Name, ref.Channels[refChannel].Name, told.R2),
		Source: fmt.Sprintf("record %s, %s to %s; Rogers et al. 2005 (from memory)", ask.Reference.Ref, day(ref.Times[0]), day(ref.Times[ref.Len()-1])),
	})
	return out, nil
}

// nearestSpeed is the speed channel of a record nearest in height, as a ratio, that holds at least half as much as the
// fullest; −1 where there is none.
//
// defaultM is the height of those whose height is not known; NaN: none.
func nearestSpeed(s *resource.Series, heightM, defaultM float64) int {
	usable := func(i int) int {
		n := 0
		for k := range s.Channels[i].Values {
			if s.Channels[i].Usable(k) {
				n++
			}
		}
		return n
	}
	most := 0
	for _, i := range s.SpeedChannels() {
		most = max(most, usable(i))
	}
	found, nearest := -1, math.Inf(1)
	for _, i := range s.SpeedChannels() {
		h := s.Channels[i].HeightM
		if h != h {
			h = defaultM
		}
		away := math.Abs(math.Log(h / heightM))
		if away != away {
			away = math.MaxFloat64 // a height that is not known: better than none
		}
		if away < nearest && 2*usable(i) >= most {
			found, nearest = i, away
		}
	}
	return found
}

var methodWords = map[longterm.Method]string{
	longterm.VarianceRatio: "variance ratio", longterm.LeastSquares: "least squares", longterm.SpeedRatio: "ratio of mean speeds",
}

// airOf takes the reference's pressure out of a stretched record unless both places are known to lie at about one elevation:
// carried from a mountain it would thin the air, from a valley thicken it.
func (a *assessment) airOf(s, record, ref *resource.Series) *resource.Series {
	i := s.Find(resource.Pressure, nan)
	if i < 0 {
		return s
	}
	known := func(p *resource.Place) bool { return p != nil && p.ElevationM == p.ElevationM }
	site := a.r.Site.ElevationM
	if known(record.Place) {
		site = record.Place.ElevationM
	}
	const most = 50 // m, some 0.6 % of density
	if known(ref.Place) && math.Abs(ref.Place.ElevationM-site) <= most {
		return s
	}
	a.warn("reference_pressure_unused", "the reference's pressure is another elevation's, or its elevation is not known: the standard "+
		"atmosphere at the site is taken")
	own := *s
	own.Channels = slices.DeleteFunc(slices.Clone(s.Channels), func(c resource.Channel) bool { return c.Quantity == resource.Pressure })
	return &own
}
