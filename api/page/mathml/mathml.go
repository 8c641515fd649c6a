// Package mathml turns a formula written in a line, much as comments in the code have it, into MathML, which browsers draw without a
// script:
//
//	α = {ln(v_2/v_1)}/{ln(z_2/z_1)}
//
// Names of one letter are variables, longer ones stand upright. A space or a middle dot multiplies. A slash is a fraction of what stands
// right before and right behind it; {} groups without being seen, and may be empty; ^ or ², ³ raise, _ lowers; √ and bar{} reach over the
// group or name behind them; what Σ and ∫ run over is lowered and raised as anything else; a semicolon is a wide space.
//
// It is pure, and knows nothing of what formulas mean.
package mathml

import (
	"fmt"
	"html"
	"strings"
	"unicode"
)

// Write is a formula as a math element in a line of its own.
func Write(formula string) (string, error) {
	p := parser{rest: []rune(formula)}
	row, err := p.row(0)
	if err != nil {
		return "", fmt.Errorf("formula %q: %w", formula, err)
	}
	return `<math display="block">` + row + `</math>`, nil
}

// Inline is a formula, such as a single symbol, as a math element within a line.
func Inline(formula string) (string, error) {
	block, err := Write(formula)
	return strings.Replace(block, ` display="block"`, "", 1), err
}

// parser reads a formula from its beginning.
type parser struct{ rest []rune }

func (p *parser) spaces() (any bool) {
	for len(p.rest) > 0 && p.rest[0] == ' ' {
		p.rest, any = p.rest[1:], true
	}
	return any
}

func (p *parser) next() rune {
	if len(p.rest) == 0 {
		return 0
	}
	return p.rest[0]
}

func (p *parser) take() rune {
	r := p.next()
	if r != 0 {
		p.rest = p.rest[1:]
	}
	return r
}

// row is everything up to a closing rune, or the end for 0.
func (p *parser) row(until rune) (string, error) {
	var out strings.Builder
	for {
		p.spaces()
		switch r := p.next(); {
		case r == until:
			p.take()
			return out.String(), nil
		case r == 0:
			return "", fmt.Errorf("%q is missing", until)
		case strings.ContainsRune("})]", r):
			return "", fmt.Errorf("%q closes nothing", r)
		}
		called := functions[p.word()]
		part, err := p.quotient()
		if err != nil {
			return "", err
		}
		if called && out.Len() > 0 && !strings.HasSuffix(out.String(), "</mo>") && !strings.HasSuffix(out.String(), space) {
			out.WriteString(space) // a function is set off from what it multiplies
		}
		out.WriteString(part)
	}
}

// space is a thin one.
const space = `<mspace width="0.17em"/>`

// word is the name that comes next; empty where none does.
func (p *parser) word() string {
	ahead := parser{rest: p.rest}
	return ahead.run(unicode.IsLetter)
}

// quotient is an item, or a fraction of items.
func (p *parser) quotient() (string, error) {
	out, err := p.item()
	for err == nil && p.next() == '/' {
		p.take()
		var below string
		if below, err = p.item(); err == nil {
			out = "<mfrac>" + out + below + "</mfrac>"
		}
	}
	return out, err
}

// lowered reports whether what stands below and above a symbol belongs right under and over it.
func lowered(r rune) bool { return strings.ContainsRune("ΣΠ", r) }

// item is an atom with what is lowered and raised at it.
func (p *parser) item() (string, error) {
	first, before := p.next(), p.rest
	base, err := p.atom()
	if err != nil {
		return "", err
	}
	called := functions[string(before[:len(before)-len(p.rest)])]
	var below, above script
	for {
		var part string
		switch r := p.next(); r {
		case '_':
			p.take()
			part, err = p.atom()
			below.add(part)
		case '^':
			p.take()
			part, err = p.atom()
			above.add(part)
		case '²', '³', '⁴', '′':
			p.take()
			above.add(map[rune]string{'²': "<mn>2</mn>", '³': "<mn>3</mn>", '⁴': "<mn>4</mn>", '′': "<mo>′</mo>"}[r])
		default:
			out := scripted(base, below.one(), above.one(), lowered(first))
			if called && r == ' ' { // an argument without brackets is set off
				out += space
			}
			return out, nil
		}
		if err != nil {
			return "", err
		}
	}
}

// script is what stands lowered or raised, each piece one element.
type script struct {
	row    string
	pieces int
}

func (s *script) add(piece string) {
	s.row += piece
	s.pieces++
}

// one is the script as one element; nothing for none.
func (s *script) one() string {
	if s.pieces > 1 {
		return "<mrow>" + s.row + "</mrow>"
	}
	return s.row
}

func scripted(base, below, above string, under bool) string {
	kind := [2]string{"sub", "sup"}
	if under {
		kind = [2]string{"under", "over"}
	}
	switch {
	case below != "" && above != "":
		return "<m" + kind[0] + kind[1] + ">" + base + below + above + "</m" + kind[0] + kind[1] + ">"
	case below != "":
		return "<m" + kind[0] + ">" + base + below + "</m" + kind[0] + ">"
	case above != "":
		return "<m" + kind[1] + ">" + base + above + "</m" + kind[1] + ">"
	}
	return base
}

var closing = map[rune]rune{'(': ')', '[': ']', '{': '}'}

// atom is a number, a name, an operator or a group.
func (p *parser) atom() (string, error) {
	switch r := p.next(); {
	case r == 0:
		return "", fmt.Errorf("it ends too early")
	case closing[r] != 0:
		p.take()
		row, err := p.row(closing[r])
		if r != '{' {
			row = "<mo>" + string(r) + "</mo>" + row + "<mo>" + string(closing[r]) + "</mo>"
		}
		return "<mrow>" + row + "</mrow>", err
	case r == '√':
		p.take()
		inside, err := p.atom()
		return "<msqrt>" + inside + "</msqrt>", err
	case unicode.IsDigit(r):
		return "<mn>" + p.run(func(r rune) bool { return unicode.IsDigit(r) || r == '.' }) + "</mn>", nil
	case lowered(r) || r == '∫':
		p.take()
		return "<mo>" + string(r) + "</mo>", nil
	case unicode.IsLetter(r):
		return p.name()
	case r == ';':
		p.take()
		return `<mspace width="1.5em"/>`, nil
	case strings.ContainsRune("})]^_/", r):
		return "", fmt.Errorf("%q stands alone", r)
	default:
		p.take()
		if r == '-' {
			r = '−'
		}
		return "<mo>" + html.EscapeString(string(r)) + "</mo>", nil
	}
}

// name is a variable or a function.
func (p *parser) name() (string, error) {
	name := p.run(func(r rune) bool { return unicode.IsLetter(r) && !lowered(r) })
	if name == "bar" && p.next() == '{' {
		inside, err := p.atom()
		return `<mover>` + inside + `<mo>¯</mo></mover>`, err
	}
	return "<mi>" + name + "</mi>", nil
}

var functions = map[string]bool{"ln": true, "lg": true, "exp": true, "sin": true, "cos": true, "tan": true, "acos": true, "asin": true, "min": true, "max": true}

func (p *parser) run(is func(rune) bool) string {
	n := 0
	for n < len(p.rest) && is(p.rest[n]) {
		n++
	}
	out := string(p.rest[:n])
	p.rest = p.rest[n:]
	return out
}
