package document

import (
	"math"
	"strconv"
)

// digits is how many significant digits an estimate's figures have: far more than any wind record carries, and few enough
// that the last does not hang on the machine that computed it.
const digits = 10

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// scaled is the whole number n and the count of decimals d with a ≈ n / 10^d to the number of significant digits. ok is false
// outside [1e-6, 1e9), where it is not so simple.
func scaled(a float64) (n uint64, d int, ok bool) {
	if !(a >= 1e-6 && a < 1e9) {
		return 0, 0, false
	}
	d = digits
	if a >= 1 {
		for d--; a >= tens[digits-d]; d-- { // one digit fewer behind the point for each before it
		}
	} else {
		for d < digits+5 && a*tens[d-digits+1] < 1 { // one more for each zero behind it
			d++
		}
	}
	return uint64(a*tens[d] + 0.5), d, true
}

// rounded is v to the number of significant digits. NaN and infinities stay as they are.
func rounded(v float64) float64 {
	n, d, ok := scaled(math.Abs(v))
	if !ok {
		if v == 0 || v-v != 0 {
			return v
		}
		// Rare: very large, or next to nothing.
		r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
		if err != nil {
			return v
		}
		return r
	}
	// Both are whole numbers a float64 holds exactly, so the quotient is the float64 next to the decimal.
	return math.Copysign(float64(n)/tens[d], v)
}

func roundedAll(v []float64) []float64 {
	if v == nil {
		return nil
	}
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = rounded(x)
	}
	return out
}

// appendFloat writes a number as encoding/json does: the shortest decimal that reads back the same, with an exponent where it
// is very small or large, as ECMAScript has it.
func appendFloat(b []byte, f float64) []byte {
	if n := int64(f); float64(n) == f && n > -1e15 && n < 1e15 && (n != 0 || !math.Signbit(f)) {
		return strconv.AppendInt(b, n, 10)
	}
	a := math.Abs(f)
	// A decimal of so few digits that reads back the same is the shortest, for no two of them are the same float64.
	if n, d, ok := scaled(a); ok && float64(n)/tens[d] == a {
		return appendDecimal(b, f < 0, n, d)
	}
	if f-f != 0 {
		panic("document: a number that is not finite")
	}
	if a < 1e-6 && a != 0 || a >= 1e21 {
		b = strconv.AppendFloat(b, f, 'e', -1, 64)
		// e-09 becomes e-9
		if n := len(b); n >= 4 && b[n-4] == 'e' && (b[n-3] == '-' || b[n-3] == '+') && b[n-2] == '0' {
			b[n-2] = b[n-1]
			b = b[:n-1]
		}
		return b
	}
	return strconv.AppendFloat(b, f, 'f', -1, 64)
}

// appendDecimal writes n / 10^d without trailing zeros; it is no whole number.
func appendDecimal(b []byte, negative bool, n uint64, d int) []byte {
	for n%10 == 0 {
		n /= 10
		d--
	}
	if negative {
		b = append(b, '-')
	}
	var text [24]byte
	at := len(text)
	for n >= 100 {
		two := n % 100 * 2
		n /= 100
		at -= 2
		text[at], text[at+1] = twoDigits[two], twoDigits[two+1]
	}
	for ; n > 0; n /= 10 {
		at--
		text[at] = byte('0' + n%10)
	}
	all := text[at:]
	whole := len(all) - d
	if whole <= 0 {
		b = append(b, "0."...)
		for ; whole < 0; whole++ {
			b = append(b, '0')
		}
		return append(b, all...)
	}
	b = append(b, all[:whole]...)
	b = append(b, '.')
	return append(b, all[whole:]...)
}

const twoDigits = "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445464748495051525354555657585960616263646566676869707172737475767778798081828384858687888990919293949596979899"
