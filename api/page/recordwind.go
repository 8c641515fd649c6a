package page

import (
	"math"
	"strconv"

	"mastworth/api/chart"
	"mastworth/api/words"
	"mastworth/openapi"
)

// SpeedBins are a channel's speeds in bins that suit the picture better than those of its statistics.
type SpeedBins struct {
	EdgesMS, Shares []float64
	CalmShare       float64 // in no bin
}

// SpeedsChart draws a channel's distribution with the fitted curve, in the statistics' bins where no others are at hand.
func SpeedsChart(st *openapi.SpeedStatistics, bins *SpeedBins, u Units) chart.Chart {
	d := chart.SpeedShares{Units: u.In(""), EdgesMS: st.Histogram.EdgesMS, Shares: st.Histogram.Shares}
	if bins != nil && len(bins.Shares) > 0 {
		d.EdgesMS, d.Shares, d.CalmShare = bins.EdgesMS, bins.Shares, bins.CalmShare
	}
	if w := st.Weibull; w != nil {
		d.Fit.Shape, d.Fit.Scale = orNaN(w.Shape), orNaN(w.ScaleMS)
	}
	return chart.SpeedHistogram(d)
}

// RoseClasses are where the classes of speed of a record's rose begin, m/s: at whole numbers of the unit that is shown. The zero value leaves
// them as the climate document has them.
func RoseClasses(u Units) [5]float64 {
	if u.Feet {
		return [5]float64{0, 5 * mphInMS, 10 * mphInMS, 15 * mphInMS, 20 * mphInMS}
	}
	return [5]float64{}
}

// RoseChart draws how often the wind comes from where, by classes of speed.
func RoseChart(c *openapi.Climate, u Units) chart.Chart {
	d := chart.Rose{Units: u.In(""), CalmShare: orNaN(c.CalmShare)}
	blowing := 1 - d.CalmShare // shares of sectors are of the time that is not calm
	if math.IsNaN(blowing) {
		blowing = 1
	}
	for i, s := range c.Sectors {
		row := make([]float64, len(s.Classes))
		for k, class := range s.Classes {
			row[k] = orNaN(class.Share) * blowing
			if i == 0 && class.ToMS != nil {
				d.ClassEnds = append(d.ClassEnds, *class.ToMS)
			}
		}
		d.Shares = append(d.Shares, row)
	}
	return chart.WindRose(d)
}

// MonthHourChart draws the mean speed by month and hour.
func MonthHourChart(c *openapi.Climate, u Units) chart.Chart {
	d := chart.MonthHour{What: Text("record.wind_speed"), Unit: u.SpeedSign()}
	for m := range d.Values {
		for h := range d.Values[m] {
			d.Values[m][h] = math.NaN()
			if m < len(c.MonthHours) && h < len(c.MonthHours[m]) {
				d.Values[m][h] = u.inSpeed(orNaN(c.MonthHours[m][h]))
			}
		}
	}
	return chart.MonthHourHeat(d)
}

// speedNumbers are the chief numbers of a channel.
func speedNumbers(st *openapi.SpeedStatistics, pictures *RecordPictures, u Units) []Pair {
	var out []Pair
	add := func(key, value string) {
		if value != unknown && value != "" {
			out = append(out, Pair{Text(key), value})
		}
	}
	add("record.mean", u.speedTo(st.MeanMS, 2))
	if st.MonthsCounted > 0 && st.MeanOfMonthsMS != nil {
		words := Text("record.of_month", u.speedTo(st.MeanOfMonthsMS, 2))
		if st.MonthsCounted > 1 {
			words = Text("record.of_months", u.speedTo(st.MeanOfMonthsMS, 2), st.MonthsCounted)
		}
		add("record.mean_of_months", words)
	}
	add("record.completeness", partOf(st.Completeness))
	add("record.missing", Number(float64(st.Missing), 0))
	add("record.flagged", Number(float64(st.Flagged), 0))
	add("record.max", u.speedTo(st.MaxMS, 1))
	add("record.calm", partOf(st.CalmShare))
	add("record.power", unit(three(st.PowerDensityWM2), "W/m²"))
	if w := st.Weibull; w != nil {
		add("record.weibull", Text("record.weibull_of", decimals(w.Shape, 2), u.speedTo(w.ScaleMS, 2)))
	} else {
		add("record.weibull", u.sentence(st.WeibullRefused))
	}
	if pictures == nil || pictures.Climate == nil {
		return out
	}
	if x := pictures.Climate.ExtremeWind; x != nil {
		add("record.extreme", Text("record.extreme_of", u.speedTo(x.Gust50YearMS, 0), u.speedTo(x.RuleGustMS, 0), u.sentence(x.Caution)))
	} else {
		add("record.extreme", u.sentence(pictures.Climate.ExtremeWindMissing))
	}
	return out
}

// decimals is a number with so many of them.
func decimals(v *float64, n int) string { return Number(orNaN(v), n) }

// periodBars are means by month or hour, with bars from 0 on; a period of which nothing is known has none.
func periodBars(in []openapi.PeriodMean, words func(int) string, u Units) []BarRow {
	most := 0.0
	for _, p := range in {
		if p.MeanMS != nil {
			most = max(most, *p.MeanMS)
		}
	}
	out := make([]BarRow, 0, len(in))
	for i, p := range in {
		if p.MeanMS == nil {
			continue
		}
		out = append(out, BarRow{Words: words(i), Value: Number(u.inSpeed(orNaN(p.MeanMS)), 2), More: partOf(p.Completeness), Bar: bar(p.MeanMS, most)})
	}
	return out
}

func bar(v *float64, most float64) int {
	if v == nil || !(most > 0) {
		return 0
	}
	return int(math.Round(100 * *v / most))
}

func monthWords(i int) string {
	months := words.List("chart.month_names")
	return months[i%len(months)]
}

func hourWords(i int) string { return Text("record.hour", i, i+1) }

// turbulence lists the intensity by speed, and what the climate's numbers lean on.
func (r *Record) turbulence() {
	if r.RecordPictures == nil || r.Climate == nil {
		return
	}
	for _, w := range r.Climate.Warnings {
		r.Weak = append(r.Weak, r.sentence(w.Detail))
	}
	t := r.Climate.Turbulence
	if t == nil {
		r.TurbulenceNote = r.sentence(r.Climate.TurbulenceMissing)
		return
	}
	most := 0.0
	for _, b := range t.Bins {
		most = max(most, zeroIfUnknown(b.Mean), zeroIfUnknown(b.Representative))
	}
	for _, b := range t.Bins {
		if b.N == 0 {
			continue
		}
		to := "…"
		if b.ToMS != nil {
			to = Number(r.inSpeed(*b.ToMS), 1)
		}
		r.Turbulence = append(r.Turbulence, BarRow{Words: Number(r.inSpeed(b.FromMS), 1) + "–" + to, Value: decimals(b.Mean, 3),
			More: decimals(b.Representative, 3) + " (" + Number(float64(b.N), 0) + ")", Bar: bar(b.Mean, most)})
	}
	r.TurbulenceNote = r.words(Text("record.turbulence_at", decimals(t.At15MS, 3), decimals(t.RepresentativeAt15MS, 3)))
}

func zeroIfUnknown(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// offsetWords is a clock's distance from UTC.
func offsetWords(s int64) string {
	if s == 0 {
		return Text("record.utc")
	}
	sign := "+"
	if s < 0 {
		sign, s = minus, -s
	}
	return Text("record.utc_and", sign+strconv.FormatInt(s/3600, 10)+":"+two(s%3600/60))
}

func two(n int64) string {
	if n < 10 {
		return "0" + strconv.FormatInt(n, 10)
	}
	return strconv.FormatInt(n, 10)
}

// stepWords is an averaging step.
func stepWords(s int64) string {
	switch {
	case s == 86400:
		return Text("record.step_day")
	case s == 3600:
		return Text("record.step_hour")
	case s%60 == 0:
		return Text("record.step_minutes", s/60)
	}
	return Text("record.step_seconds", s)
}

func exactPlace(latitude, longitude float64) string {
	side := func(v float64, positive, negative string) string {
		key := positive
		if v < 0 {
			key = negative
		}
		return Number(math.Abs(v), 4) + "°\u00a0" + Text(key)
	}
	return side(latitude, "club.north", "club.south") + ", " + side(longitude, "club.east", "club.west")
}

// ShearWords tell the shear between two heights.
func (r *Record) ShearWords() string {
	s := r.Shear
	return r.words(Text("record.shear_overall", Number(s.Exponent, 3), r.length(&s.LowM), r.length(&s.HighM), Number(float64(s.Overall.N), 0)))
}

// CheckCells are a height that the profile is held against, the speed there by the profile and as measured, and the difference.
func (r *Record) CheckCells(c ShearCheckRow) []string {
	return []string{r.length(&c.HeightM), Number(r.inSpeed(c.PredictedMS), 2), Number(r.inSpeed(c.MeasuredMS), 2), unit(Number(c.ErrorPerCent, 1), "%")}
}
