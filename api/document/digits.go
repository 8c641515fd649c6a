package document

import (
	"encoding/binary"
	"math"
	"math/bits"
	"slices"
	"strconv"
)

// digits is how many significant digits an estimate's figures have: far more than any wind record carries, and few enough
// that the last does not hang on the machine that computed it.
const digits = 10

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// magnitude is what the numbers of one binary exponent have in common: so many decimals make the number of significant digits, one
// fewer from next on, the power of ten among them.
type magnitude struct {
	decimals int
	next     float64
}

// magnitudes are those from 2^-20 on, as 1e-6 is, to below 2^30. To look one up takes no branch that is hard to foresee.
var magnitudes = func() (m [64]magnitude) {
	for i := range m {
		lowest := math.Ldexp(1, i-20)
		power := int(math.Floor(math.Log10(lowest)))
		next, err := strconv.ParseFloat("1e"+strconv.Itoa(power+1), 64)
		if err != nil {
			panic("document: a power of ten cannot be read")
		}
		m[i] = magnitude{digits - 1 - power, next}
	}
	return m
}()

// scaled is the whole number n and the count of decimals d with a ≈ n / 10^d to the number of significant digits. ok is false
// outside [1e-6, 1e9), where it is not so simple.
func scaled(a float64) (n int64, d int, ok bool) {
	if !(a >= 1e-6 && a < 1e9) {
		return 0, 0, false
	}
	m := &magnitudes[(math.Float64bits(a)>>52-1003)%64]
	d = m.decimals
	if a >= m.next {
		d--
	}
	return int64(a*tens[d] + 0.5), d, true
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
	if n, d, ok := scaled(a); ok && float64(n)/tens[d] == a && n < 1e10 {
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

// appendDecimal writes n / 10^d without trailing zeros. It is no whole number, and n has all ten digits: scaled gives it no fewer, and
// one more only for a power of ten or next to one, which is whole or written another way.
func appendDecimal(b []byte, negative bool, n int64, d int) []byte {
	if negative {
		b = append(b, '-')
	}
	b = slices.Grow(b, 32)
	from := len(b)
	b = b[:from+32]
	p := b[from:]
	high := 2 * (n / 1e8)
	low := eightDigits(uint64(n % 1e8))
	zeros := bits.LeadingZeros64(low) / 8 // at the end, for the first digit is the lowest byte
	if low == 0 && twoDigits[high+1] == '0' {
		zeros++
	}
	low |= '0' * 0x0101010101010101
	at, whole := 1, digits-d // the point is a byte more
	switch {
	case whole > 1:
		p[0], p[1] = twoDigits[high], twoDigits[high+1]
		binary.LittleEndian.PutUint64(p[2:], low)
		p[whole] = '.'
		binary.LittleEndian.PutUint64(p[whole+1:], low>>(8*(whole-2)))
	case whole == 1:
		p[0], p[1], p[2] = twoDigits[high], '.', twoDigits[high+1]
		binary.LittleEndian.PutUint64(p[3:], low)
	default: // 0.00ddd
		copy(p, "0.00000")
		at = 2 - whole
		p[at], p[at+1] = twoDigits[high], twoDigits[high+1]
		binary.LittleEndian.PutUint64(p[at+2:], low)
	}
	return b[:from+at+digits-zeros]
}

// eightDigits are the decimal digits of a number below 1e8, the first in the lowest byte: split in two by 10 000, both by 100 at once,
// all four by 10 at once. Dividing is multiplying and shifting, exact for so small numbers.
func eightDigits(n uint64) uint64 {
	high := n / 10_000
	x := high | (n-10_000*high)<<32
	hundreds := x * 10486 >> 20 & 0x7f_0000007f
	x = hundreds | (x-100*hundreds)<<16
	tens := x * 103 >> 10 & 0xf_000f_000f_000f
	return tens | (x-10*tens)<<8
}

const twoDigits = "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445464748495051525354555657585960616263646566676869707172737475767778798081828384858687888990919293949596979899"
