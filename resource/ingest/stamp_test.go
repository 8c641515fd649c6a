package ingest

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestParseStamp holds spellings against the moment they mean.
func TestParseStamp(t *testing.T) {
	for _, tc := range []struct {
		text  string
		order dateOrder // for those that need one
		want  string    // local, with offset where written
	}{
		{"2023-05-31 14:30", 0, "2023-05-31T14:30:00"},
		{"2023-05-31T14:30:15", 0, "2023-05-31T14:30:15"},
		{"2023/5/1 4:05", 0, "2023-05-01T04:05:00"},
		{"2023-05-31T14:30:15.999Z", 0, "2023-05-31T14:30:15"},
		{"2023-05-31 14:30:00+02:00", 0, "2023-05-31T12:30:00"},
		{"2023-05-31 14:30 -0530", 0, "2023-05-31T20:00:00"},
		{"2023-05-31 14:30 UTC", 0, "2023-05-31T14:30:00"},
		{"31.5.2023 14:30", orderDMY, "2023-05-31T14:30:00"},
		{"31. 5. 2023, 14:30", orderDMY, "2023-05-31T14:30:00"},
		{"5/31/2023 2:30 PM", orderMDY, "2023-05-31T14:30:00"},
		{"5/31/2023 12:30 a.m.", orderMDY, "2023-05-31T00:30:00"},
		{"5/31/23 12:30PM", orderMDY, "2023-05-31T12:30:00"},
		{"31-May-2023 14:30", 0, "2023-05-31T14:30:00"},
		{"31 May 2023", 0, "2023-05-31T00:00:00"},
		{"May 31, 2023 14:30", 0, "2023-05-31T14:30:00"},
		{"2023-May-31", 0, "2023-05-31T00:00:00"},
		{"20230531", 0, "2023-05-31T00:00:00"},
		{"20230531 1430", 0, "2023-05-31T14:30:00"},
		{"202305311430", 0, "2023-05-31T14:30:00"},
		{"20230531143015", 0, "2023-05-31T14:30:15"},
		{"2023-05-31 24:00", 0, "2023-06-01T00:00:00"},
		{"2023-05-31_14:30", 0, "2023-05-31T14:30:00"},
		{"61/1/2", orderYMD, "1961-01-02T00:00:00"},
	} {
		s, ok := parseStamp([]byte(tc.text))
		if !ok {
			t.Errorf("%q is not read", tc.text)
			continue
		}
		c := newClock()
		c.order = tc.order
		got, ok := c.place(&s)
		if text := time.Unix(got, 0).UTC().Format("2006-01-02T15:04:05"); !ok || text != tc.want {
			t.Errorf("%q is %s %v, want %s", tc.text, text, ok, tc.want)
		}
	}
	for _, text := range []string{"", "x", "2023", "2023-05", "12.5", "1013.25", "2023-05-31 25:00", "2023-05-31 14:60", "2023-05-31 14:30 x", "2023-05-31x",
		"2023-05/31", "Foo 31, 2023", "2023-05-31 13:00 PM", "2023-05-31 24:30", "14:30", "-999", "2023-05-31 14:30 +99:00"} {
		if s, ok := parseStamp([]byte(text)); ok {
			t.Errorf("%q is read as %+v", text, s)
		}
	}
	for _, text := range []string{"2023-02-29 00:00", "2023-13-01 00:00", "2023-00-10 00:00", "0099-01-01 00:00", "2023-04-31 00:00"} {
		s, ok := parseStamp([]byte(text))
		c := newClock()
		if ok {
			if _, ok = c.place(&s); ok {
				t.Errorf("%q is a date", text)
			}
		}
	}
}

// TestStampProperty writes moments with package time, the trusted writer, and reads them back, on the fast path too.
func TestStampProperty(t *testing.T) {
	layouts := []struct {
		layout string
		order  dateOrder
	}{
		{"2006-01-02 15:04:05", 0}, {"2006-01-02T15:04:05Z", 0}, {"2006/01/02 15:04:05", 0}, {"02.01.2006 15:04:05", orderDMY}, {"1/2/2006 3:04:05 PM", orderMDY},
		{"2 Jan 2006 15:04:05", 0}, {"Jan 2, 2006 15:04:05", 0}, {"20060102150405", 0}, {"2006-01-02 15:04:05-07:00", 0},
	}
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.SampledFrom(layouts).Draw(t, "layout")
		c := newClock()
		c.date, c.order = 0, l.order
		for range 3 {
			want := rapid.Int64Range(-5_000_000_000, 7_000_000_000).Draw(t, "unix")
			lx := lexer{line: []byte(time.Unix(want, 0).UTC().Format(l.layout))}
			lx.last(0, 0)
			got, bad := c.at(&lx)
			if bad >= 0 || got != want {
				t.Fatalf("%q is %d, want %d", lx.line, got, want)
			}
			if text := clockText(got); text[:16] != time.Unix(got, 0).UTC().Format("2006-01-02 15:04") {
				t.Fatalf("%d is told as %s", got, text)
			}
		}
	})
}

// TestPacked packs and unpacks dates in every order.
func TestPacked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := rapid.Int64Range(-7000, 29000).Draw(t, "day") // two-digit years 1950 to 2049
		seconds := rapid.Int64Range(-50400, 86400+50400).Draw(t, "seconds")
		y, m, d := civilFromDays(day)
		if daysFromCivil(y, m, d) != day {
			t.Fatalf("day %d is %d-%d-%d", day, y, m, d)
		}
		if at := time.Unix(day*secondsPerDay, 0).UTC(); at.Year() != y || int(at.Month()) != m || at.Day() != d {
			t.Fatalf("day %d is %d-%d-%d, want %v", day, y, m, d, at)
		}
		short := y % 100
		for order, p := range map[dateOrder]int64{
			orderYMD: pack(short, m, d, seconds), orderDMY: pack(d, m, y, seconds), orderMDY: pack(m, d, short, seconds),
		} {
			if got := unpack(p, order); got != day*secondsPerDay+seconds {
				t.Fatalf("order %d: %d, want %d", order, got, day*secondsPerDay+seconds)
			}
		}
	})
}

func TestTimeLayouts(t *testing.T) {
	for pattern, want := range map[string]string{
		"YYYY-MM-DD hh:mm": "2006-01-02 15:04", "DD.MM.YYYY": "02.01.2006", "M/D/YY h:mm AP": "1/2/06 3:04 PM", "2006-01-02": "2006-01-02",
		"yyyy-MM-ddTHH:mm:ssZ": "2006-01-02T15:04:05Z07:00",
	} {
		if l, err := newTimeLayout(pattern); err != nil || l.layout != want {
			t.Errorf("%q is %q %v, want %q", pattern, l.layout, err, want)
		}
	}
	if _, err := newTimeLayout("hh:mm"); err == nil {
		t.Error("a layout without a year is taken")
	}
}
