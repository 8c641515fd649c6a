package ingest

import "bytes"

// airportReport is what is read in the text of a routine or special aerodrome report (WMO-No. 306, FM 15 METAR and FM 16
// SPECI); NaN where it does not say.
type airportReport struct {
	speed, gust float64 // m/s
	direction   float64 // degrees; NaN also where it is variable
	temperature float64 // °C; in tenths where a remark gives them
	altimeterPa float64 // Pa
	special     bool
}

// decodeReport reads the report's text: the wind in knots, m/s or km/h (18005KT, 21007G15MPS, VRB02KT, 00000KT), the
// temperature (03/M10), the altimeter setting (A3043 in hundredths of an inch, Q1013 in hPa) and the remark T00301100
// with the temperature in tenths. Groups of slashes say that nothing was measured.
func decodeReport(b []byte) airportReport {
	d := airportReport{speed: nan, gust: nan, direction: nan, temperature: nan, altimeterPa: nan}
	remarks := false
	for first, from := true, 0; from < len(b); first = false {
		n := 0
		for from+n < len(b) && b[from+n] != ' ' {
			n++
		}
		word := b[from : from+n]
		from += n + 1
		switch {
		case n == 0:
		case first && string(word) == "SPECI":
			d.special = true
		case string(word) == "RMK":
			remarks = true
		case remarks:
			if n == 9 && word[0] == 'T' && word[1]-'0' <= 1 && allDigits(word[1:]) {
				d.temperature = float64(two(word[2:])*10+int(word[4]-'0')) / 10
				if word[1] == '1' {
					d.temperature = -d.temperature
				}
			}
		case n >= 7 && d.speed != d.speed && d.wind(word):
		case n == 5 && (word[0] == 'A' || word[0] == 'Q') && allDigits(word[1:]):
			v := float64(two(word[1:])*100 + two(word[3:]))
			if d.altimeterPa = v * 100; word[0] == 'A' {
				d.altimeterPa = inchOfMercury.convert(v / 100)
			}
		case n >= 3 && n <= 7 && d.temperature != d.temperature:
			d.degrees(word)
		}
	}
	return d
}

func allDigits(b []byte) bool {
	for _, c := range b {
		if c-'0' > 9 {
			return false
		}
	}
	return true
}

// reportUnits are the units of a wind, by the letters behind it.
var reportUnits = [...]struct {
	letters   string
	mul, over float64
}{{"KT", 1852, 3600}, {"MPS", 1, 1}, {"KMH", 1000, 3600}}

// wind reads a group of the wind; false when the word is none.
func (d *airportReport) wind(word []byte) bool {
	if c := word[0]; c-'0' > 9 && c != 'V' && c != '/' {
		return false
	}
	for i := range reportUnits {
		u := &reportUnits[i]
		n := len(word) - len(u.letters)
		if n < 5 || string(word[n:]) != u.letters {
			continue
		}
		g := word[:n]
		if g[0] == '/' {
			return true
		}
		direction := nan
		if !bytes.HasPrefix(g, []byte("VRB")) {
			if !allDigits(g[:3]) {
				return false
			}
			direction = float64(int(g[0]-'0')*100 + two(g[1:]))
		}
		mean, gust, gusty := bytes.Cut(g[3:], []byte{'G'})
		n, rest := digits(mean)
		if len(rest) > 0 || len(mean) < 2 || len(mean) > 3 || direction > 360 {
			return false
		}
		d.direction, d.speed = direction, float64(n)*u.mul/u.over
		if n, rest := digits(gust); gusty && len(rest) == 0 && len(gust) >= 2 && len(gust) <= 3 {
			d.gust = float64(n) * u.mul / u.over
		}
		return true
	}
	return false
}

// degrees reads the group of temperature and dew point.
func (d *airportReport) degrees(word []byte) {
	at := 2
	if word[0] == 'M' {
		at = 3
	}
	if len(word) <= at || word[at] != '/' {
		return
	}
	t, dew := word[:at], word[at+1:]
	negative := len(t) == 3 && t[0] == 'M'
	if negative {
		t = t[1:]
	}
	if dew = bytes.TrimPrefix(dew, []byte{'M'}); len(t) != 2 || !allDigits(t) || len(dew) != 0 && (len(dew) != 2 || dew[0] != '/' && !allDigits(dew)) {
		return
	}
	if d.temperature = float64(two(t)); negative {
		d.temperature = -d.temperature
	}
}
