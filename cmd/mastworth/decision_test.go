package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"mastworth/api"
)

// decided is a document that asks for all there is to decide by; %WIND% is to be filled in.
const decided = `
site: {name: Orchard End, latitude: 52.21, longitude: -1.44, elevation_m: 96, ground: {cover: rough}, obstacles: [{bearing_deg: 230, distance_m: 90, height_m: 7, width_m: 30}]}
wind: %WIND%
turbine: {rotor_diameter_m: 2.4, power_curve: {points: [[2.5, 0], [4, 45], [6, 190], [8, 440], [10, 750], [12, 900], [16, 640], [25, 300]]}}
towers: {from_m: 12, to_m: 24, step_m: 6, fixed_cost: 200, cost_per_m: 60}
money: {currency: EUR, turbine_cost: 1500, yearly_cost: 60, price_per_kwh: 0.34, feed_in_per_kwh: 0.08, measuring_cost: 150, price_escalation: 0.01%SHARE%}
solar: {cost_per_kw: 1500}
household: {yearly_kwh: 3100, load_csv: "hour,weight\n%LOAD%", battery: {capacity_kwh: 3, cost: 1500, life_years: 12}}
`

func decidedDocument(wind, share string) string {
	var load strings.Builder
	for h := range 24 {
		fmt.Fprintf(&load, `%d,%d\n`, h, 1+h/17)
	}
	return strings.NewReplacer("%WIND%", wind, "%SHARE%", share, "%LOAD%", load.String()).Replace(decided)
}

// sunnyRecord is an invented year by the hour: a wind that is strong in winter, a sun that is strong in summer.
func sunnyRecord() []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind direction 10 m (deg),temperature (C),ghi (W/m2)\n")
	start := time.Date(2023, time.January, 1, 0, 0, 0, 0, time.UTC)
	for h := range 365 * 24 {
		t := start.Add(time.Duration(h) * time.Hour)
		season := math.Cos(2 * math.Pi * float64(t.YearDay()-10) / 365)
		speed := (5 + 1.2*season) * (1 + 0.5*math.Sin(0.37*float64(h)) + 0.4*math.Sin(0.053*float64(h)))
		sun := max(0, math.Sin(math.Pi*(float64(t.Hour())-5)/14)) * (480 - 340*season)
		fmt.Fprintf(&b, "%s,%.1f,%d,%.1f,%.0f\n", t.Format("2006-01-02 15:04"), max(0, speed), (h*7)%360, 10-7*season, sun)
	}
	return b.Bytes()
}

// service is the whole service over an empty database.
func service(t *testing.T) func(target, contentType string, body []byte) []byte {
	t.Helper()
	store, err := openStore(t.Context(), filepath.Join(t.TempDir(), "decision.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() }) //nolint:errcheck // the test is over
	h := api.New(api.Options{Store: store, Version: version})
	return func(target, contentType string, body []byte) []byte {
		t.Helper()
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, target, bytes.NewReader(body))
		r.Header.Set("Content-Type", contentType)
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code >= 300 {
			t.Fatalf("%s: %d %s", target, w.Code, w.Body)
		}
		return w.Body.Bytes()
	}
}

// command is what the command prints about a document, as JSON without blanks.
func command(t *testing.T, name string) []byte {
	t.Helper()
	var out, faults bytes.Buffer
	code := run(t.Context(), []string{"estimate", "--format", "json", name}, streams{in: strings.NewReader(""), out: &out, err: &faults,
		env: func(string) (string, bool) { return "", false }})
	if code != 0 {
		t.Fatalf("the command ended with %d: %s", code, &faults)
	}
	var dense bytes.Buffer
	if err := json.Compact(&dense, out.Bytes()); err != nil {
		t.Fatal(err)
	}
	return dense.Bytes()
}

// The command and the service give the same answer to the same document, to the byte, and again when asked again.
func TestCommandAndServiceAgree(t *testing.T) {
	text := decidedDocument("{mean: {speed_m_s: 5.2, height_m: 10, shape: 2}, measured_over: {cover: open}}", ", self_used_share: 0.6")
	file := filepath.Join(t.TempDir(), "decided.yaml")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	post := service(t)
	first := bytes.TrimSpace(post("/v1/estimates", "application/yaml", []byte(text)))
	if again := bytes.TrimSpace(post("/v1/estimates", "application/yaml", []byte(text))); !bytes.Equal(first, again) {
		t.Error("the service's second answer is another")
	}
	if printed := command(t, file); !bytes.Equal(first, printed) {
		t.Errorf("the command prints\n%.3000s\nthe service answers\n%.3000s", printed, first)
	}
}

// With a record, beside the command's document or stored by the service, the decision is the same: a household is followed in both.
func TestDecisionOfARecord(t *testing.T) {
	folder := t.TempDir()
	record := sunnyRecord()
	if err := os.WriteFile(filepath.Join(folder, "sunny.csv"), record, 0o600); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "decided.yaml")
	if err := os.WriteFile(file, []byte(decidedDocument("{record: {file: sunny.csv}}", "")), 0o600); err != nil {
		t.Fatal(err)
	}
	post := service(t)
	var stored struct{ ID string }
	if err := json.Unmarshal(post("/v1/records?name=sunny", "text/csv", record), &stored); err != nil {
		t.Fatal(err)
	}
	decision := func(answer []byte) json.RawMessage {
		var e struct{ Decision json.RawMessage }
		if err := json.Unmarshal(answer, &e); err != nil {
			t.Fatal(err)
		}
		return e.Decision
	}
	served := decision(post("/v1/estimates", "application/yaml", []byte(decidedDocument("{record: {id: "+stored.ID+"}}", ""))))
	printed := decision(command(t, file))
	if !bytes.Equal(served, printed) {
		t.Errorf("the command prints\n%.2000s\nthe service answers\n%.2000s", printed, served)
	}
	checkHome(t, printed)
}

// checkHome holds the household's balance, which nobody may fall short of: what is used and what is bought is the load; what is made
// is used, spilled or lost in the battery, but for what it holds at the ends.
func checkHome(t *testing.T, decision []byte) {
	t.Helper()
	var d struct {
		Split struct {
			MostEvenRow int `json:"most_even_row"`
			Complement  *struct{ Correlation float64 }
			Home        *struct {
				YearlyKWh float64 `json:"yearly_kwh"`
				Wind      map[string]float64
				Solar     map[string]float64
			}
		}
	}
	if err := json.Unmarshal(decision, &d); err != nil {
		t.Fatal(err)
	}
	h := d.Split.Home
	if h == nil || d.Split.Complement == nil || d.Split.MostEvenRow < 0 {
		t.Fatalf("no household, months or complement: %s", decision)
	}
	if c := d.Split.Complement.Correlation; !(c >= -1 && c < -0.5) {
		t.Errorf("a winter wind and a summer sun go together with a correlation of %g", c)
	}
	for name, f := range map[string]map[string]float64{"wind": h.Wind, "solar": h.Solar} {
		const battery = 3.0 // what it can hold, kWh
		// Hours that screening doubts are left out, 1.4 % of them; they may have another load than the others.
		if need := f["used_kwh"] + f["unmet_kwh"]; math.Abs(need-h.YearlyKWh) > 0.014*h.YearlyKWh+battery {
			t.Errorf("%s: used and bought make %g kWh of %g", name, need, h.YearlyKWh)
		}
		made := f["wind_kwh"] + f["solar_kwh"]
		if gone := f["used_kwh"] + f["spilled_kwh"] + f["battery_loss_kwh"]; math.Abs(made-gone) > battery {
			t.Errorf("%s: of %g kWh made, %g are accounted for", name, made, gone)
		}
		for _, share := range []string{"unmet_share", "spilled_share", "self_used_share"} {
			if v := f[share]; !(v > 0 && v < 1) {
				t.Errorf("%s: %s is %g", name, share, v)
			}
		}
	}
}

// The tables that the README shows are those the program prints.
func TestReadmeTablesAreReal(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	document, err := os.ReadFile(filepath.Join("..", "..", "testdata", "examples", "orchard-end.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	e, _, err := estimateDocument(document, ".", streams{err: io.Discard})
	if err != nil {
		t.Fatal(err)
	}
	var printed bytes.Buffer
	if err := printEstimate(&printed, &e, false); err != nil {
		t.Fatal(err)
	}
	for _, start := range []string{"orchard-end.yaml\n", "here of the same orchard:\n\n```\n"} {
		_, rest, found := strings.Cut(string(text), start)
		shown, _, ended := strings.Cut(rest, "```")
		if !found || !ended {
			t.Fatalf("the README's table after %q is not where it was", start)
		}
		for part := range strings.SplitSeq(shown, "…\n") {
			if !strings.Contains(printed.String(), part) {
				t.Errorf("the README shows\n%s\nbut the program prints\n%s", part, &printed)
			}
		}
	}
}
