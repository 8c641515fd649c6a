package api

import (
	"errors"
	"net/http"
	"strconv"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/page"
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

// numbersIn are the numbers of a field, parted by spaces, commas or semicolons.
func numbersIn(p *page.Balance, field, text string) []float64 {
	var out []float64
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || unicode.IsSpace(r) }) {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || v-v != 0 {
			p.Faults[field] = page.Text("balance.no_number", printable(word))
			return nil
		}
		out = append(out, v)
	}
	return out
}

func numberIn(p *page.Balance, field, text string) *float64 {
	if text = strings.TrimSpace(text); text == "" {
		return nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v-v != 0 {
		p.Faults[field] = page.Text("balance.no_number", printable(text))
		return nil
	}
	return &v
}
