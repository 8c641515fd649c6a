package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A log whose power is stamped an hour late: what is asked for is a flag for a log in a file, a field for one in a document,
// and either mends it. The wind is invented, the power a cube of it.
func TestClocksThatDiffer(t *testing.T) {
	folder := t.TempDir()
	r := rand.New(rand.NewPCG(1, 2))
	wind := make([]float64, 2880)
	for i, v := 0, 6.0; i < len(wind); i++ {
		v = max(0.2, v+0.4*r.NormFloat64()-0.02*(v-6))
		wind[i] = v
	}
	var b strings.Builder
	b.WriteString("time (UTC),wind speed 10 m (m/s),power (W)\n")
	for i := 60; i < len(wind); i++ {
		power := 0.3 * math.Pi / 2 * 1.225 * math.Pow(wind[i-60], 3)
		fmt.Fprintf(&b, "2024-03-%02d %02d:%02d,%.2f,%.1f\n", 1+i/1440, i/60%24, i%60, wind[i], power)
	}
	write := func(name, text string) string {
		name = filepath.Join(folder, name)
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return name
	}
	log := write("log.csv", b.String())
	const text = "turbine:\n  rotor_diameter_m: 2\n  test_log: {record: {file: log.csv}%s}\n"
	document := write("log.yaml", fmt.Sprintf(text, ""))
	mended := write("mended.yaml", fmt.Sprintf(text, ", power_shift_s: -3600"))
	for _, c := range []struct {
		args []string
		says string // on stderr; empty: it works
	}{
		{[]string{log, "--rotor-diameter-m", "2"}, "give --power-shift-s -3600"},
		{[]string{log, "--rotor-diameter-m", "2", "--power-shift-s", "-3600"}, ""},
		{[]string{document}, "set test_log.power_shift_s to -3600"}, {[]string{mended}, ""},
	} {
		var out, stderr bytes.Buffer
		code := run(context.Background(), append([]string{"curve"}, c.args...), streams{out: &out, err: &stderr})
		if (code == 0) != (c.says == "") || !strings.Contains(stderr.String(), c.says) {
			t.Errorf("%v: %d, %s", c.args, code, stderr.String())
		}
	}
}

// The README's machine works as it is printed.
func TestReadmeMachineIsReal(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(text), "```yaml\nturbine:\n  design:")
	block, _, okEnd := strings.Cut(rest, "```")
	if !ok || !okEnd {
		t.Fatal("the README's machine is not where it was")
	}
	name := filepath.Join(t.TempDir(), "machine.yaml")
	if err := os.WriteFile(name, []byte("turbine:\n  design:"+block), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, stderr bytes.Buffer
	if code := run(context.Background(), []string{"curve", name}, streams{out: &out, err: &stderr}); code != 0 || !strings.Contains(out.String(), "sweep was left aside") {
		t.Errorf("%d, %s%s", code, out.String(), stderr.String())
	}
}
