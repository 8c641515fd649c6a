package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	environmentName = regexp.MustCompile(`MASTWORTH_[A-Z_]+`)
	flagName        = regexp.MustCompile(`(?:^|\s)(--[a-z][a-z-]+)`)
)

// What the files for a host set are the program's own settings.
func TestDeployNamesRealSettings(t *testing.T) {
	known := []string{"MASTWORTH_DB_PASSWORD"} // of the compose file alone
	var flags []string
	for _, o := range options {
		known, flags = append(known, o.env()), append(flags, "--"+o.flag())
	}
	for _, name := range []string{"Dockerfile", "compose.yaml", "kubernetes.yaml", "mastworth.service", "UPGRADE.md"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "deploy", name))
		if err != nil {
			t.Fatal(err)
		}
		for _, used := range environmentName.FindAllString(string(text), -1) {
			if !slices.Contains(known, used) {
				t.Errorf("deploy/%s sets %s, which nothing reads", name, used)
			}
		}
		for line := range strings.Lines(string(text)) {
			_, command, ok := strings.Cut(line, "mastworth serve")
			if !ok {
				continue
			}
			for _, m := range flagName.FindAllStringSubmatch(command, -1) {
				if !slices.Contains(flags, m[1]) {
					t.Errorf("deploy/%s: serve has no %s", name, m[1])
				}
			}
		}
	}
}
