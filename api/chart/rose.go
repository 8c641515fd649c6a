package chart

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Rose is how often the wind comes from where, and how fast. Sectors are of one width, the first centred on north, clockwise.
type Rose struct {
	Shares    [][]float64 // by sector and class of speed, of all time; a row a sector, a column a class
	ClassEnds []float64   // m/s, rising: where a class ends, one less than classes; the last is open
	CalmShare float64     // of all time; NaN where not known
	Units     Units
}

// WindRose draws how often the wind comes from where. Radii are in proportion to time.
func WindRose(d Rose) Chart {
	classes := len(d.ClassEnds) + 1
	totals := make([]float64, len(d.Shares))
	for i, row := range d.Shares {
		if len(row) != classes {
			panic("chart: a rose needs one share a class in every sector")
		}
		totals[i] = sum(row)
	}
	if classes > rampSteps {
		panic("chart: a rose has at most seven classes of speed")
	}
	c := Chart{Name: "wind-rose", Title: word("wind_rose"), empty: !anyKnown(totals)}
	ends, unit := d.Units.speeds(d.ClassEnds)
	names := classNames(ends, unit)
	c.head = append([]string{word("from"), word("all") + " (%)"}, suffixed(names, " (%)")...)
	for i, row := range d.Shares {
		cells := []cell{words(direction(i, len(d.Shares))), share(totals[i])}
		for _, x := range row {
			cells = append(cells, share(x))
		}
		c.rows = append(c.rows, cells)
	}
	c.alt = word("wind_rose") + ": " + oftenest(totals)
	if known(d.CalmShare) {
		c.alt += "; " + word("calm_share", partOf(d.CalmShare))
	}
	c.draw = func(s *sheet) {
		entries := make([]entry, classes)
		step := func(k int) role { return ramp1 + role(k*(rampSteps-1)/max(1, classes-1)) }
		for k := range entries {
			entries[k] = entry{step(k), asBox, nil, names[k]}
		}
		s.legend(entries...)
		note := word("share_of_time")
		if known(d.CalmShare) {
			note += ", " + word("calm_share", partOf(d.CalmShare))
		}
		w := s.compass(note, totals)
		for i, row := range d.Shares {
			if !(totals[i] > 0) {
				continue
			}
			s.mark("mark", direction(i, len(totals))+": "+perCent(totals[i]*100)+" %", func() {
				inner := 0.0
				for k, x := range row {
					if x > 0 && known(x) {
						w.wedge(i, len(totals), inner, inner+x, 0.84, step(k))
						inner += x
					}
				}
			})
		}
		w.rings()
	}
	return c
}

// EnergyFrom is where the year's energy comes from. Sectors as in Rose.
type EnergyFrom struct {
	EnergyShares []float64 // by sector, of the year's energy
	TimeShares   []float64 // by sector, of the time; nil to leave out
}

// EnergyRose draws where the year's energy comes from, and how much of the time the wind does.
func EnergyRose(d EnergyFrom) Chart {
	n := len(d.EnergyShares)
	need(n, d.TimeShares)
	c := Chart{Name: "energy-rose", Title: word("energy_rose"), empty: !anyKnown(d.EnergyShares)}
	c.head = []string{word("from"), word("energy") + " (%)"}
	if d.TimeShares != nil {
		c.head = append(c.head, word("time")+" (%)")
	}
	for i, x := range d.EnergyShares {
		cells := []cell{words(direction(i, n)), share(x)}
		if d.TimeShares != nil {
			cells = append(cells, share(d.TimeShares[i]))
		}
		c.rows = append(c.rows, cells)
	}
	c.alt = word("energy_rose") + ": " + oftenest(d.EnergyShares)
	c.draw = func(s *sheet) {
		entries := []entry{{ramp4, asBox, nil, word("share_of_energy")}}
		if d.TimeShares != nil {
			entries = append(entries, entry{ink, asLine, nil, word("share_of_time")})
		}
		s.legend(entries...)
		w := s.compass("", d.EnergyShares, d.TimeShares)
		for i, x := range d.EnergyShares {
			if x > 0 && known(x) {
				s.mark("mark", direction(i, n)+": "+perCent(x*100)+" %", func() { w.wedge(i, n, 0, x, 0.84, ramp4) })
			}
		}
		w.rings()
		for i, x := range d.TimeShares {
			if x > 0 && known(x) {
				s.mark("time", direction(i, n)+": "+perCent(x*100)+" %", func() { w.arc(i, n, x, 0.84) })
			}
		}
	}
	return c
}

// wheel is a compass with a scale from its middle.
type wheel struct {
	s      *sheet
	at     vg.Point
	radius vg.Length
	scale  scale
	clear  float64 // degrees, where least is drawn: the scale's numbers stand there
}

// compass sets a wheel in the middle of what is left, with its directions and a note.
func (s *sheet) compass(note string, lists ...[]float64) *wheel {
	if note != "" {
		s.write(quiet, draw.XLeft, draw.YBottom, s.c.Min, note)
		s.c.Min.Y += lineHeight
	}
	var percent [][]float64
	for _, l := range lists {
		percent = append(percent, over(l, 0.01))
	}
	w := &wheel{s: s, at: s.c.Center(), scale: scaleOf(true, 5, percent...)}
	w.clear = clearest(lists...)
	w.radius = max(20, min(s.c.Size().X, s.c.Size().Y)/2-lineHeight)
	return w
}

// clearest is the bearing between two sectors where the greater of them is least.
func clearest(lists ...[]float64) float64 {
	best, least := 45.0, math.Inf(1)
	n := len(lists[0])
	for i := range n {
		most := 0.0
		for _, l := range lists {
			if l != nil {
				for _, x := range [...]float64{l[i], l[(i+1)%n]} {
					if known(x) {
						most = max(most, x)
					}
				}
			}
		}
		if most < least {
			best, least = (float64(i)+0.5)*360/float64(n), most
		}
	}
	return best
}

// out is the radius of a share.
func (w *wheel) out(share float64) vg.Length {
	return w.radius * vg.Length(min(1, share*100/w.scale.max))
}

func (w *wheel) wedge(i, n int, from, to, fill float64, r role) {
	width := 360 / float64(n)
	middle := float64(i) * width
	w.s.c.SetColor(w.s.colour[r])
	w.s.c.Fill(sector(w.at, w.out(from), w.out(to), middle-width*fill/2, middle+width*fill/2))
}

func (w *wheel) arc(i, n int, share, fill float64) {
	width := 360 / float64(n)
	middle := float64(i) * width
	var p vg.Path
	p.Arc(w.at, w.out(share), (90-middle+width*fill/2)*math.Pi/180, -width*fill*math.Pi/180)
	w.s.c.SetLineStyle(w.s.line(ink, lineWidth))
	w.s.c.Stroke(p)
}

// rings draws the scale and the four winds, over the wedges so that they can be read off.
func (w *wheel) rings() {
	w.s.mark("grid", "", func() {
		w.s.c.SetLineStyle(w.s.line(quiet, 0.5, 2, 3))
		for _, t := range w.scale.ticks {
			if t.Value > 0 {
				w.s.c.Stroke(disc(w.at, w.out(t.Value/100)))
			}
		}
		for i, name := range []string{wordList("compass")[0], wordList("compass")[4], wordList("compass")[8], wordList("compass")[12]} {
			sin, cos := math.Sincos(float64(i) * math.Pi / 2)
			w.s.write(ink, draw.XCenter, draw.YCenter, vg.Point{X: w.at.X + (w.radius+10)*vg.Length(sin), Y: w.at.Y + (w.radius+10)*vg.Length(cos)}, name)
		}
		sin, cos := math.Sincos(w.clear * math.Pi / 180)
		for _, t := range w.scale.ticks {
			const inner = 24 // px; nearer the middle there is no room for words
			if r := w.out(t.Value / 100); r >= inner {
				w.s.halo(quiet, draw.XCenter, draw.YCenter, vg.Point{X: w.at.X + r*vg.Length(sin), Y: w.at.Y + r*vg.Length(cos)}, t.Label+" %")
			}
		}
	})
}

// direction names a sector by its middle: by the compass where one of its 16 points lies there, else in degrees.
func direction(i, n int) string {
	if (i*16)%n == 0 {
		return wordList("compass")[i*16/n]
	}
	return strconv.FormatFloat(float64(i)*360/float64(n), 'f', -1, 64) + "°"
}

// partOf is a share of a whole in per cent, with as many digits as pages tell one with.
func partOf(share float64) string {
	decimals := 1
	if percent := share * 100; percent == 0 || percent >= 9.95 && percent <= 99 {
		decimals = 0
	}
	return strconv.FormatFloat(share*100, 'f', decimals, 64)
}

// oftenest names the sector with the greatest share.
func oftenest(shares []float64) string {
	best := -1
	for i, x := range shares {
		if known(x) && x > 0 && (best < 0 || x > shares[best]) {
			best = i
		}
	}
	if best < 0 {
		return word("not_known")
	}
	return word("most_from", direction(best, len(shares)), figure(shares[best]*100))
}

func classNames(ends []float64, unit string) []string {
	names := make([]string, 0, len(ends)+1)
	from := "0"
	for _, e := range ends {
		names = append(names, from+"–"+figure(e)+" "+unit)
		from = figure(e)
	}
	return append(names, word("from_on", from, unit))
}

func suffixed(list []string, end string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = s + end
	}
	return out
}

// sum adds what is known; NaN where nothing is.
func sum(list []float64) float64 {
	total, any := 0.0, false
	for _, x := range list {
		if known(x) {
			total, any = total+x, true
		}
	}
	if !any {
		return math.NaN()
	}
	return total
}
