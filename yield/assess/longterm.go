package assess

import (
	"fmt"
	"math"
	"time"

	"mastworth/resource"
	"mastworth/resource/longterm"
)

// stretch puts the record in the place of which it holds a part: the time of the reference.
func (a *assessment) stretch(w *recordWind) (source, error) {
	ask := a.r.Wind.LongTerm
	ref := ask.Reference.Series
	judged := w.judged()
	channels := []int{judged.index} // first the one the clocks are compared by
	for i := range w.columns {
		if c := &w.columns[i]; c != judged {
			channels = append(channels, c.index)
		}
	}
	refChannel := nearestSpeed(ref, judged.heightM)
	if refChannel < 0 {
		return nil, invalid("wind.long_term.reference", "the record %q has no wind speed", ask.Reference.Ref)
	}
	series, results, err := longterm.PredictAll(w.series, channels, ref, refChannel, longterm.Options{
		Method: ask.Method, Sectors: ask.Sectors, MaxShiftS: int64(ask.MaxShiftS),
	})
	if err != nil {
		return nil, invalid("wind.long_term", "%s", err)
	}
	out, err := newRecordWind(w.rec, series)
	if err != nil {
		return nil, err
	}
	a.longTerm = &results[0]
	a.warnings = append(a.warnings, a.longTerm.Warnings...)
	day := func(unix int64) string { return time.Unix(unix+ref.UTCOffsetS, 0).UTC().Format("2006-01-02") }
	a.sources = append(a.sources, Provenance{
		What: "wind.long_term",
		Method: fmt.Sprintf("%s of %q on %q over the time both have, r² %.2f; its prediction over the reference's time feeds the rest",
			methodWords[ask.Method], w.series.Channels[judged.index].Name, ref.Channels[refChannel].Name, a.longTerm.R2),
		Source: fmt.Sprintf("record %s, %s to %s; Rogers et al. 2005 (from memory)", ask.Reference.Ref, day(ref.Times[0]), day(ref.Times[ref.Len()-1])),
	})
	return out, nil
}

// nearestSpeed is the speed channel of a record nearest in height, as a ratio, that holds at least half as much as the
// fullest; −1 where there is none.
func nearestSpeed(s *resource.Series, heightM float64) int {
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
		away := math.Abs(math.Log(s.Channels[i].HeightM / heightM))
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
