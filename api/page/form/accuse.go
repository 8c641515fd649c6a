package form

import (
	"regexp"
	"strconv"
	"strings"

	"mastworth/api/page"
)

// Fault is what the document's checks say about a place in it.
type Fault struct{ Place, Detail string }

// Accuse lays faults of the document at the fields they come from, in the form's units and words.
func (f *Form) Accuse(d *Document, all []Fault) {
	for _, fault := range all {
		if name, rest := d.name(fault.Place); !f.follows(name, rest) {
			f.Blame(name, f.explain(d, fault, name, rest))
		}
	}
}

// follows reports whether a fault comes of something that the form alone knows of, and tells itself: a file that is still to be sent or
// fetched, a currency that is none.
func (f *Form) follows(name, rest string) bool {
	switch name {
	case choicePrefix + "wind":
		return rest == "" && (f.Chosen("wind") == "file" || f.Chosen("wind") == "fetch")
	case "money.currency", "solar.cost_per_kw":
		return len(f.faults["money.currency"]) > 0 && (name == "money.currency" || strings.TrimSpace(f.typed[name]) == "")
	}
	return false
}

// explain says what is wrong as somebody who knows the page alone can read it.
func (f *Form) explain(d *Document, fault Fault, name, rest string) string {
	fd, typed, detail := fieldOf(name), strings.TrimSpace(f.typed[name]), d.labelled(fault)
	switch {
	case fd == nil:
		detail = f.inUnits(detail)
		if rest != "" {
			detail = page.Text("form.row", strings.TrimPrefix(rest, "."), detail)
		}
	case fd.kind == aPairs:
		return f.explainPair(d, rest, detail)
	case fd.kind == aList && rest != "":
		return explainItem(typed, rest, detail)
	case fd.kind.isNumber() && typed != "":
		v, ok := fd.number(typed, d.commas)
		if !ok {
			return noNumber(typed, d.commas)
		}
		return f.explainNumber(fd, v, typed, detail)
	default:
		detail = f.inUnits(detail)
	}
	return detail
}

// explainPair names the line that a fault of a table is in.
func (f *Form) explainPair(d *Document, rest, detail string) string {
	path := steps("x" + rest)
	if len(path) < 2 || path[1].index >= len(d.lines) {
		return f.inUnits(detail)
	}
	line := d.lines[path[1].index]
	if len(path) > 2 && path[2].index < len(line.texts) {
		text := line.texts[path[2].index]
		v, ok := number(text)
		switch {
		case !ok:
			detail = noNumber(text, false)
		case path[2].index == 0:
			detail = asTyped(detail, f.Units.inDocument(v, aPairs), text, f.Units.sign(aSpeed, ""))
		}
	}
	return page.Text("form.line", line.line, f.inUnits(detail))
}

// explainItem says which number of a list is at fault.
func explainItem(typed, rest, detail string) string {
	items := listItems(typed)
	path := steps("x" + rest)
	if len(path) < 2 || path[1].index >= len(items) {
		return detail
	}
	if item := items[path[1].index]; !isNumberText(item) {
		return noNumber(item, false)
	}
	return page.Text("form.item", path[1].index+1, detail)
}

// explainNumber turns a fault of a number into the units it was typed in.
func (f *Form) explainNumber(fd *field, v float64, typed, detail string) string {
	if fd.kind == aShare {
		return f.inUnits(inPerCent(detail))
	}
	if f.Units.factor(fd.kind) != 1 {
		detail = asTyped(detail, f.Units.inDocument(v, fd.kind), typed, f.Units.sign(fd.kind, f.currency()))
	}
	if fd.kind == aSmallLength && f.Units == Feet {
		detail = inInches(detail)
	}
	return f.inUnits(detail)
}

// inUnits tells the lengths and speeds of a sentence in the form's units.
func (f *Form) inUnits(detail string) string { return page.Units{Feet: f.Units == Feet}.Words(detail) }

// asTyped puts what was typed where a sentence has the number that it is in the document: in all its digits, or, where only that number can
// stand, rounded. A limit may be the same rounded.
func asTyped(detail string, inDocument float64, typed, sign string) string {
	const unit, end = `(?: m/s\b| m\b)?`, `($|[^\w.]|\.(?:\s|$))`
	whole := strconv.FormatFloat(inDocument, 'f', -1, 64)
	_, decimals, _ := strings.Cut(whole, ".")
	exactly := regexp.QuoteMeta(strconv.FormatFloat(inDocument, 'g', -1, 64)) + "|" +
		regexp.QuoteMeta(strings.ReplaceAll(page.Number(inDocument, len(decimals)), "\u2212", "-"))
	with := "${1}" + strings.ReplaceAll(strings.TrimSpace(typed+" "+sign), "$", "$$") + "${2}"
	detail = regexp.MustCompile(`(^|[^\w.,-])(?:`+exactly+`)`+unit+end).ReplaceAllString(detail, with)
	rounded := regexp.QuoteMeta(page.Number(inDocument, 0))
	return regexp.MustCompile(`(^|\bnot |\ba hub at )(?:`+rounded+`)`+unit+end).ReplaceAllString(detail, with)
}

var (
	shareWords = regexp.MustCompile(` ?\(a share[^)]*\)|; if that is in per cent, write [\d.e+-]+|; give a share, such as [\d.]+ for \d+ %`)
	shares     = regexp.MustCompile(`(-?\d+(?:\x{202f}\d{3})*(?:\.\d+)?(?:e[+-]?\d+)?)( %)?`)
	metreRange = regexp.MustCompile(`(\d+(?:\.\d+)?)( to | and up to | and at most )(\d+(?:\.\d+)?) m\b`)
)

// inPerCent tells the shares of a sentence in per cent.
func inPerCent(detail string) string {
	detail = shareWords.ReplaceAllString(detail, "")
	return shares.ReplaceAllStringFunc(detail, func(s string) string {
		v, err := strconv.ParseFloat(strings.ReplaceAll(s, "\u202f", ""), 64)
		if err != nil {
			return s // in per cent already
		}
		return plain(rounded(v/perCent, 12)) + " %"
	})
}

func inInches(detail string) string {
	return metreRange.ReplaceAllStringFunc(detail, func(s string) string {
		m := metreRange.FindStringSubmatch(s)
		inch := func(s string) string {
			v, _ := strconv.ParseFloat(s, 64) // digits
			return plain(rounded(v/metresPerInch, 3))
		}
		return inch(m[1]) + m[2] + inch(m[3]) + " in"
	})
}
