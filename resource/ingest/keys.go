package ingest

import "slices"

// mostKeys is how many different values a column may have to tell stations apart.
const mostKeys = 10

// keyColumn is a column that is not read but may tell several stations in one table apart.
type keyColumn struct {
	field  int
	values []string
	at     int // index of the value seen last
	words  bool
}

// newKeys lists the columns to watch: those of no other use whose sample has few values.
func newKeys(p *plan) []keyColumn {
	var keys []keyColumn
	stamps := p.clock.fields()
	for i := range p.columns {
		c := &p.columns[i]
		if c.measured() || slices.Contains(stamps, i) || c.role != "" && c.role != ColumnIgnore {
			continue
		}
		if slices.ContainsFunc(p.only, func(f filter) bool { return f.field == i }) {
			continue
		}
		if s := &p.shapes[i]; s.number == s.whole {
			keys = append(keys, keyColumn{field: i, words: s.number == 0})
		}
	}
	return keys
}

// trackKeys notes the row's values of the columns watched; one with too many is watched no longer.
func (g *loggerFile) trackKeys() {
	for k := 0; k < len(g.keys); k++ {
		if key := &g.keys[k]; !key.note(trim(g.lx.field(key.field))) {
			g.keys = slices.Delete(g.keys, k, k+1)
			k--
		}
	}
}

// note notes a value; false where it is one too many.
func (k *keyColumn) note(b []byte) bool {
	if len(k.values) > 0 && string(b) == k.values[k.at] {
		return true
	}
	if i := slices.IndexFunc(k.values, func(v string) bool { return v == string(b) }); i >= 0 {
		k.at = i
		return true
	}
	if len(k.values) == mostKeys {
		return false
	}
	k.at = len(k.values)
	k.values = append(k.values, string(b))
	return true
}

// joinKeys notes what a piece's reader saw in the columns that it watched, in the order in which it saw it.
func (g *loggerFile) joinKeys(seen []keyColumn) {
	g.keys = slices.DeleteFunc(g.keys, func(k keyColumn) bool {
		return !slices.ContainsFunc(seen, func(s keyColumn) bool { return s.field == k.field }) // it had too many there
	})
	for _, s := range seen {
		k := slices.IndexFunc(g.keys, func(k keyColumn) bool { return k.field == s.field })
		if k < 0 {
			continue
		}
		for _, v := range s.values {
			if !g.keys[k].note([]byte(v)) {
				g.keys = slices.Delete(g.keys, k, k+1)
				break
			}
		}
	}
}

// keyColumn is the likeliest of the columns watched: words before numbers, nil when none has several values.
func (g *loggerFile) keyColumn() *keyColumn {
	var best *keyColumn
	for i := range g.keys {
		k := &g.keys[i]
		if len(k.values) < 2 || slices.Contains(k.values, "") {
			continue
		}
		if best == nil || k.words && !best.words {
			best = k
		}
	}
	return best
}
