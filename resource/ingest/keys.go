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
		key := &g.keys[k]
		b := trim(g.lx.field(key.field))
		if len(key.values) > 0 && string(b) == key.values[key.at] {
			continue
		}
		if key.at = slices.IndexFunc(key.values, func(v string) bool { return v == string(b) }); key.at >= 0 {
			continue
		}
		if len(key.values) == mostKeys {
			g.keys = slices.Delete(g.keys, k, k+1)
			k--
			continue
		}
		key.at = len(key.values)
		key.values = append(key.values, string(b))
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
