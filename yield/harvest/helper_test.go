package harvest

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// shared is the content of a file that lies outside the project, in shared beside it. Where it is absent the test is skipped, but in CI it
// fails.
func shared(t *testing.T, name string) []byte {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Fatal("no go.mod above the package")
		}
		dir = parent
	}
	text, err := os.ReadFile(filepath.Join(dir, "..", "shared", name))
	switch {
	case err == nil:
		return text
	case os.Getenv("CI") != "":
		t.Fatalf("the shared file %s is absent: %v", name, err)
	default:
		t.Skipf("the shared file %s is absent", name)
	}
	return nil
}

// powerFile is ten years of a reanalysis by the hour, columns YEAR,MO,DY,HR,WS50M,WS10M after a header that ends with a line of its own; local
// solar time, taken as it is.
func powerFile(t *testing.T, power func(v float64) float64) Modelled {
	t.Helper()
	_, table, found := bytes.Cut(shared(t, "data/nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"), []byte("-END HEADER-"))
	if !found {
		t.Fatal("the file has no end of its header")
	}
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimSpace(table))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	m := Modelled{StepS: 3600}
	for _, row := range rows[1:] {
		var n [4]int
		for i := range n {
			if n[i], err = strconv.Atoi(row[i]); err != nil {
				t.Fatal(err)
			}
		}
		v, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		m.Times = append(m.Times, time.Date(n[0], time.Month(n[1]), n[2], n[3], 0, 0, 0, time.UTC).Unix())
		m.PowerW = append(m.PowerW, power(v))
	}
	return m
}
