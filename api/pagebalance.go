package api

import (
	"errors"
	"math"
	"net/http"
	"strconv"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/api/page/form"
	"mastworth/openapi"
)

// readBalance shows the form for blades, and their best order where it is filled in.
func (s *service) readBalance(c *gin.Context) error {
	p := page.Balance{Masses: c.Query("masses"), Centres: c.Query("centres"), RPM: c.Query("rpm"), TipRadius: c.Query("tip_radius"), Faults: map[string]string{}}
	status := http.StatusOK
	if p.Masses != "" || p.Centres != "" {
		if err := balanceBlades(&p); err != nil {
			return err
		}
		if p.Done == nil {
			status = http.StatusUnprocessableEntity
		}
	}
	return s.showWith(c, status, "balance", &page.Frame{Title: page.Text("balance.title"), Here: "records", Page: p})
}

// balanceFields are the fields of the form by the document's.
var balanceFields = map[string]string{"masses_g": "masses", "centres_m": "centres", "rpm": "rpm", "tip_radius_m": "tip_radius"}

// balanceBlades puts the blades of the form in order, or notes what is wrong with it.
func balanceBlades(p *page.Balance) error {
	in := openapi.BalanceInput{MassesG: numbersIn(p, "masses", p.Masses), CentresM: numbersIn(p, "centres", p.Centres), RPM: numberIn(p, "rpm", p.RPM),
		TipRadiusM: numberIn(p, "tip_radius", p.TipRadius)}
	if len(p.Faults) > 0 {
		return nil
	}
	faults := document.CheckBalance(&in)
	var out openapi.Balance
	if len(faults) == 0 {
		var err error
		var doc *document.Error
		if out, err = document.BalanceOf(in); errors.As(err, &doc) {
			faults = doc.Fields
		} else if err != nil {
			return err
		}
	}
	for _, f := range faults {
		name, at, isBlade := strings.Cut(f.Location, "[")
		words := f.Detail
		if n, err := strconv.Atoi(strings.TrimSuffix(at, "]")); isBlade && err == nil {
			words = page.Text("balance.of_blade", n+1, words)
		}
		field := balanceFields[name]
		if p.Faults[field] != "" {
			words = p.Faults[field] + "; " + words
		}
		p.Faults[field] = words
	}
	if len(faults) == 0 {
		p.Done = page.NewBalance(&out, in.MassesG)
		p.Rotor = page.RotorOf(p.Done.Order)
	}
	return nil
}

// numbersIn are the numbers of a field; what can be read in two ways is refused.
func numbersIn(p *page.Balance, field, text string) []float64 {
	words, ok := listedNumbers(text)
	if !ok {
		p.Faults[field] = page.Text("balance.two_ways", printable(strings.TrimSpace(text)))
		return nil
	}
	var out []float64
	for _, word := range words {
		v, fault := form.Number(word)
		if fault != "" {
			p.Faults[field] = fault
			return nil
		}
		out = append(out, v)
	}
	return out
}

// listedNumbers takes a list apart. With semicolons or blanks between numbers, a comma within one is a decimal comma; commas alone, or
// each with a blank behind it, part numbers. ok is false where that may be meant either way.
func listedNumbers(text string) (words []string, ok bool) {
	if strings.Contains(text, ";") {
		return strings.FieldsFunc(text, func(r rune) bool { return r == ';' || unicode.IsSpace(r) }), true
	}
	words = strings.Fields(text)
	if len(words) == 1 {
		words = strings.FieldsFunc(words[0], func(r rune) bool { return r == ',' })
		return words, strings.Contains(text, ".") || !mayBeDecimals(words)
	}
	closed := 0
	for i, word := range words {
		if bare, is := strings.CutSuffix(word, ","); is && i < len(words)-1 {
			words[i] = bare
			closed++
		}
	}
	return words, closed == 0 || closed == len(words)-1
}

// mayBeDecimals reports whether numbers that commas alone part may have been meant as decimals of each other: 812,5,809,5, or 0,5,0,5.
// Blades that somebody balances are alike; none has a tenth of another's mass.
func mayBeDecimals(words []string) bool {
	const unlike = 10
	least, most := math.Inf(1), 0.0
	for _, word := range words {
		if v, err := strconv.ParseFloat(word, 64); err == nil {
			least, most = min(least, v), max(most, v)
		}
	}
	return len(words) > 1 && least*unlike <= most
}

func numberIn(p *page.Balance, field, text string) *float64 {
	if text = strings.TrimSpace(text); text == "" {
		return nil
	}
	v, fault := form.Number(text)
	if fault != "" {
		p.Faults[field] = fault
		return nil
	}
	return &v
}
