package resource

import "math"

// A spell of weather is what standard errors take as independent of the next: by single days the error of ten years of
// reanalysis would come out at 0.6 of that by four, and that at 0.8 of that by ten, part of which is the seasons' own.
const (
	shearSpellDays = 4
	fewestSpells   = 4 // below it a standard error says nothing
)

// shearSum gathers the pairs of speeds of a class. The high speeds are held as what they are off a guess from the low
// ones, so that the scatter of nearly equal ratios keeps its digits.
type shearSum struct {
	n, spells              int
	low, off               float64 // off = high − guess·low
	offOff, offLow, lowLow float64 // of the sums of spells
}

// addSpell adds a spell's pairs.
func (a *shearSum) addSpell(d *spellSum) {
	if d.n == 0 {
		return
	}
	a.n += d.n
	a.spells++
	a.low += d.low
	a.off += d.off
	a.offOff += d.off * d.off
	a.offLow += d.off * d.low
	a.lowLow += d.low * d.low
}

// spellSum is what one spell of days gives to a class.
type spellSum struct {
	n        int
	low, off float64
}

func (d *spellSum) join(e spellSum) {
	d.n += e.n
	d.low += e.low
	d.off += e.off
}

// byMonth is a class by month, and all months together last.
type byMonth [allMonths + 1]shearSum

// shearSums are the classes of a record. The last sector is that of no direction.
type shearSums struct {
	sectors     int
	lowM, highM float64
	guess       float64 // of high/low
	bySectorDay [][2]byMonth
	bySector    []shearSum
	byDay       [2]byMonth
	all         shearSum

	spell [][2]spellSum // at hand
}

// total is the class of everything.
func (c *shearSums) total() *shearSum { return &c.all }

// sumShear sums the pairs of two channels by sector, night and day, and month.
func (s *Series) sumShear(low, high, sectors int) *shearSums {
	a, b := &s.Channels[low], &s.Channels[high]
	c := &shearSums{
		sectors: sectors, lowM: a.HeightM, highM: b.HeightM, guess: math.Pow(b.HeightM/a.HeightM, 0.2),
		bySectorDay: make([][2]byMonth, sectors+1), bySector: make([]shearSum, sectors+1), spell: make([][2]spellSum, sectors+1),
	}
	clock := shearClock{offset: s.UTCOffsetS}
	direction := s.shearDirection(low)
	month := 0
	for i, v := range a.Values {
		if !shearPair(a, b, i) {
			continue
		}
		if clock.turn(s.Times[i]) {
			c.flush(month)
			month = clock.month
		}
		at := &c.spell[sectorAt(direction, i, sectors)][clock.when(s.Times[i])]
		at.n++
		at.low += v
		at.off += b.Values[i] - c.guess*v
	}
	c.flush(month)
	return c
}

// shearPair reports whether sample i gives a pair.
func shearPair(a, b *Channel, i int) bool {
	return a.Values[i] > shearSpeedMS && b.Values[i] > shearSpeedMS && a.Usable(i) && b.Usable(i)
}

// shearDirection is the direction channel nearest to a channel in height; nil where there is none.
func (s *Series) shearDirection(near int) *Channel {
	if i := s.Find(Direction, s.Channels[near].HeightM); i >= 0 {
		return &s.Channels[i]
	}
	return nil
}

// sectorAt is the sector of sample i; the one after the last where that is not known.
func sectorAt(direction *Channel, i, sectors int) int {
	if direction != nil && direction.Usable(i) {
		if k := SectorOf(direction.Values[i], sectors); k >= 0 {
			return k
		}
	}
	return sectors
}

// flush adds the spell at hand, which lies in one month, to the classes.
func (c *shearSums) flush(month int) {
	var all spellSum
	var byDay [2]spellSum
	for k := range c.spell {
		var sector spellSum
		for when := range c.spell[k] {
			d := &c.spell[k][when]
			if d.n == 0 {
				continue
			}
			c.bySectorDay[k][when][month].addSpell(d)
			c.bySectorDay[k][when][allMonths].addSpell(d)
			sector.join(*d)
			byDay[when].join(*d)
			*d = spellSum{}
		}
		c.bySector[k].addSpell(&sector)
		all.join(sector)
	}
	for when := range byDay {
		c.byDay[when][month].addSpell(&byDay[when])
		c.byDay[when][allMonths].addSpell(&byDay[when])
	}
	c.all.addSpell(&all)
}

// class finishes a class that has pairs. With the sums H and L of the high and low speeds, R = H/L, and those of each of
// m spells, the exponent is ln R/ln(z2/z1) and its variance, by the delta method for a ratio of sums,
//
//	m/(m−1) · Σ(H_spell − R·L_spell)² / (H·ln(z2/z1))²
func (c *shearSums) class(a *shearSum, source string) ShearClass {
	high := a.off + c.guess*a.low
	n := float64(a.n)
	out := ShearClass{
		Exponent: ShearExponent(a.low, c.lowM, high, c.highM), StandardError: math.NaN(),
		RoughnessM: RoughnessFrom(a.low/n, c.lowM, high/n, c.highM), N: a.n, Source: source,
	}
	if a.spells >= fewestSpells {
		slope := a.off / a.low // R less the guess
		squares := math.Max(0, a.offOff-slope*(2*a.offLow-slope*a.lowLow))
		out.StandardError = math.Sqrt(squares*float64(a.spells)/float64(a.spells-1)) / (high * math.Log(c.highM/c.lowM))
	}
	return out
}

// shearClock follows local standard time through rising stamps.
type shearClock struct {
	offset   int64
	from     int64 // the morning of the stretch at hand, local
	until    int64 // when to look again, local
	midnight int64 // the calendar day at hand begins, local
	month    int
	begun    bool
}

// turn moves on to a stamp and reports whether a new spell begins: every fourth day at 7 h, so that nights stay whole, and
// with a month.
func (k *shearClock) turn(unix int64) bool {
	local := unix + k.offset
	if k.begun && local < k.until {
		return false
	}
	const morning, spell = dayFromHour * secondsPerHour, shearSpellDays * secondsPerDay
	k.midnight = floorDiv(local, secondsPerDay) * secondsPerDay
	k.until = k.midnight + secondsPerDay // where the month may change
	if local < k.midnight+morning {
		k.until = k.midnight + morning
	}
	_, month, _ := civil(k.midnight / secondsPerDay)
	from := floorDiv(local-morning, spell) * spell
	fresh := !k.begun || month != k.month || from != k.from
	k.begun, k.month, k.from = true, month, from
	return fresh
}

// when is 1 by day and 0 by night, for the stamp last turned to.
func (k *shearClock) when(unix int64) int {
	hour := (unix + k.offset - k.midnight) / secondsPerHour
	if hour >= dayFromHour && hour < dayToHour {
		return 1
	}
	return 0
}
