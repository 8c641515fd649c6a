package ingest

import (
	"fmt"
	"strconv"
	"strings"
)

func itoa(n int) string { return strconv.Itoa(n) }

// duration tells a length of time in its largest whole unit: "10 min", "1 h", "90 s".
func duration(s int64) string {
	switch {
	case s != 0 && s%secondsPerDay == 0:
		return fmt.Sprintf("%d d", s/secondsPerDay)
	case s != 0 && s%3600 == 0:
		return fmt.Sprintf("%d h", s/3600)
	case s != 0 && s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	default:
		return fmt.Sprintf("%d s", s)
	}
}

// offsetWords tells an offset from UTC.
func offsetWords(s int64) string {
	sign := '+'
	if s < 0 {
		sign, s = '-', -s
	}
	return fmt.Sprintf("UTC%c%02d:%02d", sign, s/3600, s/60%60)
}

// clip shortens a field for a message.
func clip(b []byte) string {
	const most = 40
	s := strings.ToValidUTF8(text(b[:min(len(b), most)]), "")
	if len(b) > most {
		s += "…"
	}
	return strconv.Quote(s)
}

// some lists the first few names, for messages.
func some(names []string, n int) string {
	if len(names) <= n {
		return strings.Join(names, ", ")
	}
	return strings.Join(names[:n], ", ") + fmt.Sprintf(" and %d more", len(names)-n)
}
