package api

import (
	"math"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"mastworth/api/chart"
	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/resource"
)

// coverageOf is how much of each month of a record has a speed that is used.
func coverageOf(s *resource.Series, channel int) chart.Coverage {
	c := &s.Channels[channel]
	local := func(unix int64) time.Time { return time.Unix(unix+s.UTCOffsetS, 0).UTC() }
	first, last := local(s.Times[0]), local(s.Times[s.Len()-1])
	out := chart.Coverage{FirstYear: first.Year(), Shares: make([][12]float64, last.Year()-first.Year()+1)}
	for y := range out.Shares {
		for m := range out.Shares[y] {
			out.Shares[y][m] = math.NaN()
		}
	}
	for from := 0; from < s.Len(); {
		t := local(s.Times[from])
		begin := time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, time.UTC)
		end := begin.AddDate(0, 1, 0)
		to, n := from, 0
		for ; to < s.Len() && s.Times[to]+s.UTCOffsetS < end.Unix(); to++ {
			if c.Usable(to) {
				n++
			}
		}
		steps := float64(end.Unix()-begin.Unix()) / float64(s.StepS)
		out.Shares[t.Year()-out.FirstYear][t.Month()-1] = min(1, float64(n)/steps)
		from = to
	}
	// A month inside the record without any stamp is known to be empty.
	for m := time.Date(first.Year(), first.Month(), 1, 0, 0, 0, 0, time.UTC); m.Before(last); m = m.AddDate(0, 1, 0) {
		if share := &out.Shares[m.Year()-out.FirstYear][m.Month()-1]; math.IsNaN(*share) {
			*share = 0
		}
	}
	return out
}

// twoHeights draws the speeds of the two channels the shear was found between.
func twoHeights(s *resource.Series, t *resource.ShearTable, u page.Units) chart.Chart {
	return chart.TwoHeights(chart.HeightPair{Units: u.In(""), LowM: t.LowM, HighM: t.HighM, LowMS: usableSpeeds(s, t.Low), HighMS: usableSpeeds(s, t.High)})
}

// usableSpeeds are a channel's values, NaN where they are not used.
func usableSpeeds(s *resource.Series, channel int) []float64 {
	c := &s.Channels[channel]
	out := make([]float64, len(c.Values))
	for i, v := range c.Values {
		if out[i] = v; !c.Usable(i) {
			out[i] = math.NaN()
		}
	}
	return out
}

// shearOf is a shear table for a page.
func shearOf(t *resource.ShearTable) *page.RecordShear {
	out := &page.RecordShear{LowM: t.LowM, HighM: t.HighM, Overall: page.ShearRow{Day: t.ByDay[1], Night: t.ByDay[0], N: t.N}, Exponent: t.Overall}
	for k := range t.Sectors {
		if t.Counts[k][0]+t.Counts[k][1] == 0 {
			continue // it has the exponent of all directions
		}
		out.Rows = append(out.Rows, page.ShearRow{FromDeg: float64(k) * 360 / float64(t.Sectors), Night: t.Exponent[k][0], Day: t.Exponent[k][1],
			N: t.Counts[k][0] + t.Counts[k][1]})
	}
	for _, c := range t.Checks {
		out.Checks = append(out.Checks, page.ShearCheckRow{HeightM: c.HeightM, PredictedMS: c.PredictedMS, MeasuredMS: c.MeasuredMS,
			ErrorPerCent: 100 * c.RelativeError})
	}
	for _, w := range t.Warnings() {
		out.Warnings = append(out.Warnings, w.Detail)
	}
	return out
}

// recordCharts are the charts a record may have, whichever of its heights they are of.
var recordCharts = []string{"coverage", "findings", "wind-rose", "speeds", "month-hour", "two-heights"}

// readRecordChart answers a chart of a record as a file.
func (s *service) readRecordChart(c *gin.Context) error {
	name, format, ok := splitChartFile(c.Param("file"))
	if !ok || !slices.Contains(recordCharts, name) {
		return noSuchChart(recordCharts...)
	}
	ctx := c.Request.Context()
	rec, err := s.record(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	wire, err := wireRecord(&rec)
	if err != nil {
		return err
	}
	channel, err := shownChannel(&wire, c.Query("channel"))
	if err != nil {
		return err
	}
	u := unitsOf(c)
	tag := hashTag("record chart", document.Methods, rec.ContentHash, string(rec.Statistics), channel, name, u.Word())
	return s.sendChart(c, tag, format, func() (chart.Chart, error) {
		d, err := s.digest(ctx, &rec, channel, u, 0)
		if err != nil {
			return chart.Chart{}, err
		}
		if d.statistics != nil {
			wire.Statistics = *d.statistics
		}
		switch name {
		case "findings":
			return page.FindingsChart(&wire, u), nil
		case "speeds":
			for i := range wire.Statistics.Channels {
				if st := &wire.Statistics.Channels[i]; st.Channel == channel {
					return page.SpeedsChart(st, d.pictures.Bins, u), nil
				}
			}
		}
		drawn, has := d.charts[name]
		if !has {
			return drawn, notFound("this record has nothing for the chart %q: %s", name, d.why(name)).at("path.file", "is a chart that this record has not enough for")
		}
		return drawn, nil
	})
}

// why says why a chart is not there.
func (d *recordDigest) why(name string) string {
	switch {
	case name == "two-heights" && d.pictures.ShearMissing != "":
		return d.pictures.ShearMissing
	case d.pictures.ClimateMissing != "":
		return d.pictures.ClimateMissing
	}
	return "it has no wind speed, or no calendar of its own"
}

// shownChannel is the speed channel asked for, or the highest one; "" for a record without any.
func shownChannel(r *openapi.Record, asked string) (string, error) {
	found, highest := "", math.Inf(-1)
	for _, ch := range r.Channels {
		if ch.Quantity != resource.Speed.String() {
			continue
		}
		if ch.Name == asked && asked != "" {
			return asked, nil
		}
		h := -1.0
		if ch.HeightM != nil {
			h = *ch.HeightM
		}
		if found == "" || h >= highest {
			found, highest = ch.Name, h
		}
	}
	if asked != "" {
		return "", newProblem(invalidParameters, "the record has no such speed channel").at("query.channel", "must be the name of one of the record's speed channels")
	}
	return found, nil
}
