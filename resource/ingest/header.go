package ingest

import (
	"math"
	"strconv"
	"strings"

	"mastworth/resource"
)

// column is what a column's name says about it.
type column struct {
	role     string            // a Column constant for a part of the stamp or pulses, else empty
	quantity resource.Quantity // 0: none
	heightM  float64           // NaN where the name has none
	bare     bool              // the height stands there without its unit
	unit     *unit             // nil where the name has none
	sure     bool              // the unit stands apart and cannot be a mere word
	vector   bool              // a vector mean of speeds
	hertz    bool              // pulses a second rather than in the step
	battery  bool              // a battery's voltage, which counts beside a current alone
	ends     StampsAt          // for stamps: which end of the step they mark, if the name says so
	zone     *int64            // for stamps: offset from UTC, if the name says so
	order    dateOrder         // for stamps: the order of the date, if the name says so
	how      string            // how it was recognised, or why it is not used; empty: nothing known in it
	words    []word
}

// measured reports whether the column holds a quantity.
func (c *column) measured() bool { return c.quantity != 0 }

// describe reads a column's name, with units from a row of units below it or "".
func describe(name, units string) column {
	if otherNames[strings.ToLower(strings.TrimSpace(name))] {
		return column{heightM: math.NaN(), how: "not used: it is precipitation, by its name"}
	}
	rest, u, strange, sure := cutUnit(name)
	if v, ok := unitNamed(units); ok {
		u, sure = v, true
	}
	c := column{heightM: math.NaN(), unit: u, sure: sure, words: splitWords(rest)}
	c.joined()
	c.height()
	means, known := c.meanings()
	means = c.everyday(means)
	if c.stamp(name, means) {
		return c
	}
	c.classify(means, known, sure)
	if !c.measured() {
		return c
	}
	want := unitOf(c.quantity)
	if c.unit == nil && strange == "" {
		c.unitInside(want)
	}
	switch {
	case c.quantity == resource.Speed && c.unit == nil && strings.EqualFold(strings.TrimSpace(strange), "hz"):
		c.role, c.quantity, c.hertz = ColumnPulses, 0, true
	case c.unit != nil && c.unit.of != want && !sure:
		c.unit = nil // a last word such as "c" that only looks like a unit
	case c.unit != nil && c.unit.of != want:
		c.how = "not used: " + c.unit.name + " is no unit of " + c.quantity.String()
		c.quantity = 0
	case c.unit == nil && strange != "":
		c.how = "not used: its unit " + strconv.Quote(strange) + " is not understood; give the column's quantity and unit"
		c.quantity = 0
	}
	return c
}

// unitInside takes a unit that stands somewhere among the words: speed_knots_10m, WindSpeedMph. One letter is no unit there.
func (c *column) unitInside(want unitKind) {
	for i := range c.words {
		if w := c.words[i].text; len(w) >= 2 && !c.words[i].eaten {
			if u, ok := unitNamed(w); ok && u.of == want {
				c.unit = u
				return
			}
		}
	}
}

// cutUnit takes the unit out of a name: in brackets, after a comma, or as the last words. strange is a bracket that
// looks like a unit but is none that is known. sure says that the unit stood apart and cannot be a mere word.
func cutUnit(name string) (rest string, u *unit, strange string, sure bool) {
	rest = name
	for {
		i := strings.IndexAny(rest, "([{<")
		if i < 0 {
			break
		}
		j := strings.IndexAny(rest[i:], ")]}>")
		if j < 0 {
			break
		}
		inside := withoutSerials(rest[i+1 : i+j])
		kept := inside
		if stampPattern(inside) || inside == "" {
			kept = ""
		} else if v, ok := unitNamed(inside); ok {
			u, sure, kept = v, true, ""
		} else if v, ok := unitNamed(firstPiece(inside)); ok {
			u, sure = v, true
		} else if strings.ContainsAny(inside, "/²") || oddUnits[strings.ToLower(strings.TrimSpace(inside))] {
			strange = inside
		}
		rest = rest[:i] + " " + kept + " " + rest[i+j+1:]
	}
	if u != nil {
		return rest, u, "", sure
	}
	if head, tail, ok := strings.Cut(rest, ","); ok {
		for _, piece := range strings.Split(tail, ",") {
			if v, ok := unitNamed(piece); ok {
				return strings.Replace(head+tail, piece, " ", 1), v, "", true
			}
			first := firstPiece(strings.TrimSpace(piece))
			if v, ok := unitNamed(first); ok {
				return head + " " + strings.Replace(tail, first, " ", 1), v, "", true
			}
		}
	}
	pieces := strings.FieldsFunc(rest, func(r rune) bool { return r == ' ' || r == '_' || r == '\n' || r == '\u00a0' })
	for n := min(3, len(pieces)-1); n >= 1; n-- {
		tail := strings.Join(pieces[len(pieces)-n:], "")
		if v, ok := unitNamed(tail); ok && tail != "1" {
			return strings.Join(pieces[:len(pieces)-n], " "), v, "", len(tail) > 2
		}
	}
	if n := len(pieces) - 1; n > 0 && strange == "" && oddUnits[strings.ToLower(pieces[n])] {
		return strings.Join(pieces[:n], " "), nil, pieces[n], false
	}
	return rest, nil, strange, false
}

// stampPattern recognises the way a stamp is written, such as DD/MM/YYYY, from which nothing else should be read.
func stampPattern(s string) bool {
	lower := strings.ToLower(s)
	return (strings.Contains(lower, "yy") || strings.Contains(lower, "hh")) && strings.Trim(lower, "dmyhsnotap .:/-_") == ""
}

// withoutSerials takes sensors' numbers, such as "S/N: 12345", which say nothing of what is measured, out of a bracket.
func withoutSerials(s string) string {
	var kept []string
	for _, piece := range strings.Split(s, ",") {
		lower := strings.ToLower(strings.TrimSpace(piece))
		if strings.Contains(lower, "s/n") || strings.Contains(lower, "serial") || strings.HasPrefix(lower, "sn:") || strings.HasPrefix(lower, "sn ") ||
			strings.HasPrefix(lower, "id:") || strings.HasPrefix(lower, "#") {
			continue
		}
		kept = append(kept, piece)
	}
	return strings.Join(kept, ",")
}

var oddUnits = map[string]bool{"v": true, "mv": true, "hz": true, "bft": true, "beaufort": true, "ma": true, "volts": true, "adc": true}

// firstPiece is the text up to the first separator.
func firstPiece(s string) string {
	if i := strings.IndexAny(s, " ,;@"); i >= 0 {
		return s[:i]
	}
	return s
}

// joined takes units off the words they have grown on to: tempf, speedmph.
func (c *column) joined() {
	for i := range c.words {
		w := &c.words[i]
		name := ""
		if j, ok := joinedWords[w.text]; ok {
			w.text, name = j.word, j.unit
		} else if vocabulary[w.text] == 0 {
			for _, u := range joinedUnits {
				if rest, ok := strings.CutSuffix(w.text, u); ok && vocabulary[rest] != 0 {
					w.text, name = rest, u
				}
			}
		}
		if u, ok := unitNamed(name); ok && c.unit == nil {
			c.unit = u
		}
	}
}

// height finds the height in a name: 40m, 30 ft, @12, and a bare number of at least 10 that follows a word it can
// belong to. Smaller bare numbers are counters: ws_1, ws_2. A number before min or s is a length of time.
func (c *column) height() {
	at := func(i int) string {
		if i >= 0 && i < len(c.words) {
			return c.words[i].text
		}
		return ""
	}
	for i := range c.words {
		v := c.words[i].number
		if math.IsNaN(v) {
			continue
		}
		next, before := at(i+1), at(i-1)
		switch length, isLength := lengthWords[next]; {
		case timeWords[next]:
			c.words[i].eaten, c.words[i+1].eaten = true, true
		case isLength:
			c.words[i+1].eaten = true
			c.found(v*length, false)
		case before == "at" || before == "height" || before == "hgt":
			c.found(v, false)
		case v >= 10 && v <= 300 && v == math.Trunc(v) && vocabulary[before] != 0:
			c.found(v, true)
		}
	}
}

// found takes a height; one with its unit goes before a bare one, and the first before the second.
func (c *column) found(m float64, bare bool) {
	if goodHeight(m) && (math.IsNaN(c.heightM) || c.bare && !bare) {
		c.heightM, c.bare = m, bare
	}
}

// meanings joins what the words mean. known is false when no word is in the vocabulary.
func (c *column) meanings() (m meaning, known bool) {
	for i := range c.words {
		w := &c.words[i]
		if w.eaten {
			continue
		}
		means := vocabulary[w.text]
		if means&meansMaybe != 0 && c.unit == nil && math.IsNaN(c.heightM) {
			continue
		}
		known = known || means != 0
		m |= means
	}
	return m, known
}

// stamp recognises the columns of date and time.
func (c *column) stamp(name string, means meaning) bool {
	if means&meansEnd != 0 {
		c.ends = StampsEnd
	} else if means&meansBegin != 0 {
		c.ends = StampsBegin
	}
	if means&meansTime != 0 && means&(meansMeasured|meansMax|meansMin|meansOther) == 0 {
		c.role = ColumnTime
	}
	role, others := "", 0
	for i := range c.words {
		w := c.words[i].text
		part := partWords[w]
		switch {
		case part != "" && role == "":
			role = part
		case w == "utc" || w == "gmt" || w == "lst" || w == "local" || vocabulary[w]&(meansEnd|meansBegin) != 0 || part != "" && part == role:
		case !math.IsNaN(c.words[i].number):
		default:
			if _, ok := zoneWords[w]; !ok {
				others++
			}
		}
	}
	if role != "" && others == 0 {
		c.role = role
	}
	if joined := joinText(c.words); joined == "day of year" || joined == "julian day" {
		c.role = ColumnYearDay
	}
	if c.role == "" {
		return false
	}
	c.unit, c.heightM = nil, math.NaN()
	c.zone = zoneIn(name, c.words)
	c.order = orderIn(name)
	return true
}

func joinText(words []word) string {
	var b strings.Builder
	for i := range words {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(words[i].text)
	}
	return b.String()
}

// orderIn finds the order of a date in the name of its column: "Date (DD/MM/YYYY)".
func orderIn(name string) dateOrder {
	lower := strings.ToLower(name)
	y, d := strings.Index(lower, "yy"), strings.Index(lower, "dd")
	m := strings.Index(lower, "mm")
	switch {
	case y < 0 || m < 0 || d < 0:
		return anyOrder
	case y < m && m < d:
		return orderYMD
	case d < m && m < y:
		return orderDMY
	case m < d && d < y:
		return orderMDY
	}
	return anyOrder
}

// zoneIn finds an offset from UTC in the name of a time column: "UTC", "GMT-05:00", "mst".
func zoneIn(name string, words []word) *int64 {
	upper := strings.ToUpper(name)
	for _, mark := range [...]string{"UTC", "GMT"} {
		if i := strings.Index(upper, mark); i >= 0 {
			if s, _, ok := parseZone([]byte(strings.ReplaceAll(upper[i:], " ", ""))); ok {
				offset := int64(s)
				return &offset
			}
		}
	}
	for i := range words {
		if h, ok := zoneWords[words[i].text]; ok {
			offset := int64(h * 3600)
			return &offset
		}
	}
	return nil
}
