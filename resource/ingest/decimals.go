package ingest

import (
	"bytes"
	"strings"
)

// decimalSign counts numbers written with a comma against those with a point.
func decimalSign(cut []headLine, o *Options) byte {
	if o.DecimalComma {
		return ','
	}
	commas, points := 0, 0
	for _, l := range cut {
		for i, k := range l.kinds {
			if k != numberField {
				continue
			}
			if strings.IndexByte(l.fields[i], ',') >= 0 {
				commas++
			} else if strings.IndexByte(l.fields[i], '.') >= 0 {
				points++
			}
		}
	}
	if commas > points {
		return ','
	}
	return '.'
}

// lastDecimals is how many decimals the numbers of the last column have, if all have as many; −1 otherwise. The last
// line of a whole file is not asked: it may be cut.
func (sh *sheet) lastDecimals(rows []headLine, whole bool) int {
	const enough = 8
	if whole && len(rows) > 0 {
		rows = rows[:len(rows)-1]
	}
	all, n := -1, 0
	for i := range rows {
		l := &rows[i]
		if len(l.fields) != sh.fields || l.comment || l.kinds[sh.fields-1] != numberField {
			continue
		}
		d := decimalsOf([]byte(l.fields[sh.fields-1]), sh.point)
		if n > 0 && d != all {
			return -1
		}
		all, n = d, n+1
	}
	if n < enough {
		return -1
	}
	return all
}

// decimalsOf counts the digits behind the decimal sign.
func decimalsOf(b []byte, point byte) int {
	i := bytes.IndexByte(b, point)
	if i < 0 {
		return 0
	}
	return len(b) - i - 1
}
