package ingest

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
	"strconv"
)

// powersOfTen are those that a float64 holds exactly.
var powersOfTen = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// number reads a decimal number with blanks around it, point being its decimal sign. The result is the nearest float64.
// Not a number, infinities and hexadecimals are refused.
//
// A short number is two exact integers and one division, which rounds once (Clinger 1990, the fast path); others go to
// strconv.
func number(b []byte, point byte) (float64, bool) {
	if v, ok := shortNumber(b, point); ok {
		return v, true
	}
	b = trim(b)
	i, n := 0, len(b)
	if n == 0 {
		return 0, false
	}
	negative := b[0] == '-'
	if negative || b[0] == '+' {
		i++
	}
	var mantissa uint64
	digits, dot := 0, -1
	for ; i < n; i++ {
		c := b[i] - '0'
		if c <= 9 {
			mantissa = mantissa*10 + uint64(c)
			digits++
		} else if b[i] == point && dot < 0 {
			dot = digits
		} else {
			return longNumber(b, point)
		}
	}
	if digits == 0 {
		return 0, false
	}
	decimals := 0
	if dot >= 0 {
		decimals = digits - dot
	}
	if digits > 19 || mantissa > 1<<53 || decimals >= len(powersOfTen) {
		return longNumber(b, point)
	}
	v := float64(int64(mantissa)) / powersOfTen[decimals]
	if negative {
		v = -v
	}
	return v, true
}

const everyByte = 0x0101010101010101 // times a byte: that byte eight times

// zeroBytes marks the bytes of x that are zero by their highest bit.
func zeroBytes(x uint64) uint64 {
	const low = 0x7f * everyByte
	return ^((x&low + low) | x | low)
}

// shortNumber reads a number of at most eight characters, sign aside, all at once: as eight digits in one word, the
// decimal sign squeezed out. It needs room for eight bytes behind b[0], which all but the last fields of a buffer have.
func shortNumber(b []byte, point byte) (float64, bool) {
	negative := len(b) > 1 && b[0] == '-'
	if negative {
		b = b[1:]
	}
	n := len(b)
	if n == 0 || n > 8 || cap(b) < 8 {
		return 0, false
	}
	x := binary.LittleEndian.Uint64(b[:8]) << (64 - 8*n) // first character in the lowest byte that is kept
	x |= '0' * everyByte >> (8 * n)
	decimals := 0
	if found := zeroBytes(x ^ everyByte*uint64(point)); found != 0 {
		if n == 1 {
			return 0, false
		}
		at := bits.TrailingZeros64(found) &^ 7
		decimals = 7 - at>>3
		before := x & (1<<at - 1)
		x = x>>at>>8<<8<<at | before<<8 | '0'
	}
	const high, digit = 0xf0 * everyByte, '0' * everyByte
	if ((x&high)^digit)|(((x+6*everyByte)&high)^digit) != 0 {
		return 0, false
	}
	x -= '0' * everyByte
	x = x*10 + x>>8 // pairs of digits in every second byte
	const pairs = 0x000000ff000000ff
	x = (x&pairs*(100+1000000<<32) + x>>16&pairs*(1+10000<<32)) >> 32
	v := float64(int64(x)) / powersOfTen[decimals]
	if negative {
		v = -v
	}
	return v, true
}

// longNumber is for exponents and many digits.
func longNumber(b []byte, point byte) (float64, bool) {
	if len(b) > 400 {
		return 0, false
	}
	digits := false
	for _, c := range b {
		switch {
		case c-'0' <= 9:
			digits = true
		case c == point || c == '+' || c == '-':
		case (c == 'e' || c == 'E') && digits:
		default:
			return 0, false
		}
	}
	if point != '.' {
		if bytes.IndexByte(b, '.') >= 0 {
			return 0, false
		}
		b = bytes.ReplaceAll(b, []byte{point}, []byte{'.'})
	}
	v, err := strconv.ParseFloat(string(b), 64)
	return v, err == nil && finite(v)
}

// trim cuts blanks off both ends. It is bytes.TrimSpace for the few blanks that tables hold.
func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for n := len(b); n > 0 && (b[n-1] == ' ' || b[n-1] == '\t'); n-- {
		b = b[:n-1]
	}
	return b
}

// whole reads a whole number of up to nine digits, blanks around it and ".0" behind it allowed.
func whole(b []byte) (int, bool) {
	b = trim(b)
	if i := bytes.IndexByte(b, '.'); i > 0 && len(bytes.Trim(b[i+1:], "0")) == 0 {
		b = b[:i]
	}
	n, rest := digits(b)
	return n, len(rest) == 0 && len(b) > 0 && len(b) <= 9
}

// digits reads the decimal digits that b begins with, nine at most, and returns what follows them.
func digits(b []byte) (n int, rest []byte) {
	i := 0
	for i < len(b) && i < 9 && b[i]-'0' <= 9 {
		n = n*10 + int(b[i]-'0')
		i++
	}
	return n, b[i:]
}

// two reads the two digits at b[0:2]; the result is above 99 when they are none.
func two(b []byte) int {
	hi, lo := b[0]-'0', b[1]-'0'
	if hi > 9 || lo > 9 {
		return 255
	}
	return int(hi)*10 + int(lo)
}

// usualCodes are words for a missing value, in lower case.
var usualCodes = map[string]bool{
	"": true, "na": true, "n/a": true, "nan": true, "-nan": true, "nan.": true, "null": true, "nil": true, "none": true, "missing": true, "m": true,
	"-": true, "--": true, "---": true, "----": true, "*": true, "**": true, "***": true, "****": true, "?": true, ".": true, "#n/a": true, "#na": true,
	"nd": true, "n.d.": true, "no data": true, "nodata": true, "-1.#ind": true, "1.#qnan": true, "vrb": true, "x": true, `\n`: true, "(null)": true,
}

// Numbers that stand for a missing value: none of them is a possible reading of any quantity. Those in doubtfulCodes
// are possible pressures (999 hPa) and irradiances (999 W/m²).
var (
	missingNumbers = []float64{-99, -99.9, -99.99, -999, -999.9, -999.99, -9999, -9999.9, -9900, -99999, -999999, -6999, -7999, 9999, 9999.9,
		99999.9, 999999, 999999.9, 9999999}
	doubtfulCodes = []float64{999, 999.9, 999.99, 990}
)

// Readings between these two are no missing code, which spares looking them up.
const (
	greatestCode  = -99  // of the negative ones
	leastDoubtful = 990  // of the positive ones
	leastBeyond   = 9999 // of those that no quantity can reach
	longestWord   = 24   // longer than any of usualCodes
)

// isMissingWord reports whether the text, trimmed, is a code for missing.
func isMissingWord(b []byte, own []string) bool {
	b = trim(b)
	if len(b) == 0 {
		return true
	}
	for _, code := range own {
		if string(b) == code {
			return true
		}
	}
	if len(b) > longestWord {
		return false
	}
	var low [longestWord]byte
	for i, c := range b {
		if c-'A' < 26 {
			c |= 0x20
		}
		low[i] = c
	}
	return usualCodes[string(low[:len(b)])]
}

var nan = math.NaN()
