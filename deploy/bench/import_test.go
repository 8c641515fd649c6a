package bench

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"mastworth/deploy/ratio"
	"mastworth/storage"
	"mastworth/storage/postgres"
	"mastworth/storage/postgres/postgrestest"
)

// loggerFile is an invented logger's file of one-minute rows: two speeds, direction, temperature, pressure.
func loggerFile(rows int) []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind speed 6 m (m/s),wind direction 10 m (deg),temperature (C),pressure (hPa)\n")
	at := time.Date(2022, 1, 1, 0, 0, 0, 0, time.UTC)
	row := make([]byte, 0, 80)
	for i := range rows {
		f := float64(i)
		v := math.Abs(4 + 3*math.Sin(f/700) + 1.5*math.Sin(f*1.7) + math.Sin(f*0.37))
		row = at.AppendFormat(row[:0], "2006-01-02 15:04:05")
		for _, x := range []struct {
			v      float64
			digits int
		}{{v, 1}, {v * 0.87, 1}, {math.Mod(200+60*math.Sin(f/300)+20*math.Sin(f*2.1), 360), 0}, {9 + 8*math.Sin(f/9000), 1}, {1003 + 9*math.Sin(f/4000), 1}} {
			row = strconv.AppendFloat(append(row, ','), x.v, 'f', x.digits, 64)
		}
		b.Write(append(row, '\n'))
		at = at.Add(time.Minute)
	}
	return b.Bytes()
}

var millionRows = sync.OnceValue(func() []byte { return loggerFile(largest(1_000_000)) })

// upload sends a logger's file to a service without a network, telling its length as every client does that sends one.
func upload(tb testing.TB, h http.Handler, file io.Reader, length int64) {
	tb.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequestWithContext(context.Background(), http.MethodPost, "/v1/records", file)
	r.Header.Set("Content-Type", "text/csv")
	r.ContentLength = length
	if h.ServeHTTP(w, r); w.Code != http.StatusCreated {
		tb.Fatal(w.Body)
	}
}

// BenchmarkImport is the import of a million rows, with reading, screening, statistics, Parquet and the transaction, against the
// standard library that only takes the same file apart.
func BenchmarkImport(b *testing.B) {
	onBoth(b, func(b *testing.B, s storage.Store) {
		file := millionRows()
		h := service(s)
		ratio.Report(b, "of_csv", func() { upload(b, h, bytes.NewReader(file), int64(len(file))) }, func() { tokenise(b, file) })
	})
}

func tokenise(b *testing.B, file []byte) {
	b.Helper()
	r := csv.NewReader(bytes.NewReader(file))
	r.ReuseRecord = true
	for {
		if _, err := r.Read(); err != nil {
			if errors.Is(err, io.EOF) {
				return
			}
			b.Fatal(err)
		}
	}
}

// BenchmarkImportCopy is the same into PostgreSQL against PostgreSQL itself taking in the same bytes into a table with a column for
// each of the file's.
func BenchmarkImportCopy(b *testing.B) {
	url := postgrestest.Database(b)
	s, err := postgres.Open(b.Context(), url)
	h := service(closing(b, s, err))
	c, err := pgx.Connect(b.Context(), url)
	if err != nil {
		b.Fatal(err)
	}
	defer c.Close(context.Background()) //nolint:errcheck // a benchmark
	if _, err := c.Exec(b.Context(), `CREATE TABLE plain (at timestamp NOT NULL, speed_10 double precision, speed_6 double precision,
		direction double precision, temperature double precision, pressure double precision)`); err != nil {
		b.Fatal(err)
	}
	file := millionRows()
	ratio.Report(b, "of_copy", func() { upload(b, h, bytes.NewReader(file), int64(len(file))) }, func() {
		if got, err := c.PgConn().CopyFrom(context.Background(), bytes.NewReader(file), "COPY plain FROM STDIN (FORMAT csv, HEADER)"); err != nil ||
			got.RowsAffected() != int64(largest(1_000_000)) {
			b.Fatal(got, err)
		}
	})
}

// BenchmarkImportGrowth is how an import's time grows with its rows.
func BenchmarkImportGrowth(b *testing.B) {
	onBoth(b, func(b *testing.B, s storage.Store) {
		h := service(s)
		var sizes []float64
		var works []func()
		for rows := 10_000; rows <= largest(1_000_000); rows *= 10 {
			file := loggerFile(rows)
			sizes = append(sizes, float64(rows))
			works = append(works, func() { upload(b, h, bytes.NewReader(file), int64(len(file))) })
		}
		ratio.Growth(b, "rows_exponent", sizes, works)
	})
}

// BenchmarkEstimateGrowth is how the time of an estimate grows with its heights, its draws, and the rows of its record.
func BenchmarkEstimateGrowth(b *testing.B) {
	h := service(noStore{})
	work := func(h http.Handler, change func(d map[string]any)) func() {
		d := garden(b)
		change(d)
		a := ask{method: http.MethodPost, path: "/v1/estimates", body: jsonOf(b, d), header: json1, want: http.StatusOK}
		return func() { a.once(b, h) }
	}
	b.Run("heights", func(b *testing.B) {
		sizes := []float64{1, 2, 4, 8, 16}
		var works []func()
		for _, n := range sizes {
			works = append(works, work(h, func(d map[string]any) {
				var towers []any
				for i := range int(n) {
					towers = append(towers, map[string]any{"hub_height_m": 8 + i, "cost": 500 + 100*i})
				}
				d["towers"] = towers
			}))
		}
		ratio.Growth(b, "heights_exponent", sizes, works)
	})
	b.Run("draws", func(b *testing.B) {
		sizes := []float64{100, 1000, 10_000}
		var works []func()
		for _, n := range sizes {
			works = append(works, work(h, func(d map[string]any) { d["uncertainty"] = map[string]any{"draws": n} }))
		}
		ratio.Growth(b, "draws_exponent", sizes, works)
	})
	b.Run("rows", func(b *testing.B) {
		h := service(stores["sqlite"](b))
		var sizes []float64
		var works []func()
		for rows := 10_000; rows <= largest(1_000_000); rows *= 10 {
			sizes = append(sizes, float64(rows))
			file := loggerFile(rows)
			upload(b, h, bytes.NewReader(file), int64(len(file)))
			list := ask{method: http.MethodGet, path: "/v1/records?limit=1", header: http.Header{}, want: http.StatusOK}
			id := idIn(b, list.once(b, h).Body.Bytes(), "records")
			works = append(works, work(h, func(d map[string]any) {
				d["wind"] = map[string]any{"record": map[string]any{"id": id}, "measured_over": map[string]any{"cover": "open"}}
				d["seed"] = rows
			}))
		}
		ratio.Growth(b, "rows_exponent", sizes, works)
	})
}

// idIn is the first id of a list.
func idIn(b *testing.B, list []byte, of string) string {
	b.Helper()
	got := decode(b, list)
	all, _ := got[of].([]any)
	if len(all) == 0 {
		b.Fatalf("no %s: %.300s", of, list)
	}
	return fmt.Sprint(all[0].(map[string]any)["id"])
}
