package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"mastworth/api"
)

// publicDemo is a database with a public site and a private one.
func publicDemo(t *testing.T) (database, id string) {
	t.Helper()
	database = filepath.Join(t.TempDir(), "club.db")
	store, err := openStore(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	h := api.New(api.Options{Store: store, Version: version})
	send := func(method, at, contentType, body string) (answer struct{ ID string }) {
		t.Helper()
		r := httptest.NewRequestWithContext(t.Context(), method, at, strings.NewReader(body))
		r.Header.Set("Content-Type", contentType)
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code >= 300 {
			t.Fatalf("%s: %d %s", at, w.Code, w.Body)
		}
		if err := json.Unmarshal(w.Body.Bytes(), &answer); err != nil {
			t.Fatal(err)
		}
		return answer
	}
	request := strings.Replace(demoSite, `record: {id: "%RECORD%"}`, "mean: {speed_m_s: 4.6, height_m: 10}", 1)
	id = send(http.MethodPost, "/v1/sites", "application/yaml", request).ID
	send(http.MethodPost, "/v1/sites", "application/yaml", strings.Replace(request, "Orchard End", "Secret", 1))
	send(http.MethodPut, "/v1/sites/"+id+"/club", "application/json", `{"public":true,"shown_as":"Windy Corner"}`)
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	return database, id
}

func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		all[filepath.ToSlash(name)] = string(body)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func exportDemo(t *testing.T, args ...string) (code int, stderr string) {
	t.Helper()
	var e bytes.Buffer
	code = run(context.Background(), append([]string{"export"}, args...), streams{in: strings.NewReader(""), out: io.Discard, err: &e,
		env: func(string) (string, bool) { return "", false }})
	return code, e.String()
}

// An export has every file it links to, is the same each time, and takes nobody's place but its own.
func TestExport(t *testing.T) {
	database, id := publicDemo(t)
	dir := filepath.Join(t.TempDir(), "site")
	if code, err := exportDemo(t, dir, "--database", database, "--at", "https://club.example.org/wind/"); code != 0 {
		t.Fatal(err)
	}
	first := tree(t, dir)
	for _, name := range []string{"index.html", "board.json", "feed.atom", "sites/" + id + "/index.html", "sites/" + id + "/card.svg",
		"sites/" + id + "/site.json", "sites/" + id + "/energy-by-height.csv", "assets/style.css", exportMarker} {
		if first[name] == "" {
			t.Errorf("there is no %s", name)
		}
	}
	link := regexp.MustCompile(`(?:href|src|action)="([^"#]*)"`)
	for name, body := range first {
		if strings.Contains(body, "Secret") || strings.Contains(body, "52.21") {
			t.Errorf("%s tells something private", name)
		}
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		for _, m := range link.FindAllStringSubmatch(body, -1) {
			if to := filepath.ToSlash(filepath.Join(filepath.Dir(name), m[1])); strings.HasPrefix(m[1], "/") || first[to] == "" {
				t.Errorf("%s links to %s, which is not there", name, m[1])
			}
		}
	}
	if !strings.Contains(first["feed.atom"], `href="https://club.example.org/wind/sites/`+id+`/index.html"`) ||
		!strings.Contains(first["feed.atom"], "tag:club.example.org,") {
		t.Errorf("the feed: %s", first["feed.atom"])
	}

	if code, err := exportDemo(t, dir, "--database", database, "--at", "https://club.example.org/wind/"); code != 0 {
		t.Fatal(err)
	}
	again := tree(t, dir)
	for name, body := range first {
		if again[name] != body {
			t.Errorf("%s is another", name)
		}
	}
	if left, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(left) != 1 {
		t.Errorf("it leaves %v, %v", left, err)
	}

	if err := os.WriteFile(filepath.Join(dir, "my notes.txt"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, err := exportDemo(t, dir, "--database", database); code != exitBadInput || !strings.Contains(err, "my notes.txt") {
		t.Errorf("%d %s", code, err)
	}
	other := t.TempDir()
	if code, err := exportDemo(t, other, "--database", database); code != 0 {
		t.Errorf("an empty folder: %s", err)
	}
	if err := os.Remove(filepath.Join(other, exportMarker)); err != nil {
		t.Fatal(err)
	}
	if code, err := exportDemo(t, other, "--database", database); code != exitBadInput || !strings.Contains(err, "no export wrote") {
		t.Errorf("%d %s", code, err)
	}
}

// What killed exports left is removed by the next that succeeds, but nothing of one under way, nor anybody else's.
func TestExportSweepsUp(t *testing.T) {
	database, _ := publicDemo(t)
	parent := t.TempDir()
	long := time.Now().Add(-48 * time.Hour)
	for _, name := range []string{exportUnfinished + "1", exportUnfinished + "2.old", exportUnfinished + "now", ".mastworth", "others"} {
		if err := os.MkdirAll(filepath.Join(parent, name, "sites"), 0o700); err != nil {
			t.Fatal(err)
		}
		if !strings.HasSuffix(name, "now") {
			if err := os.Chtimes(filepath.Join(parent, name), long, long); err != nil {
				t.Fatal(err)
			}
		}
	}
	if code, err := exportDemo(t, filepath.Join(parent, "site"), "--database", filepath.Join(parent, "none.db")); code == 0 {
		t.Errorf("%d %s", code, err)
	}
	if left, err := os.ReadDir(parent); err != nil || len(left) != 5 {
		t.Errorf("an export that failed leaves %v, %v", left, err)
	}
	if code, err := exportDemo(t, filepath.Join(parent, "site"), "--database", database); code != 0 {
		t.Fatal(err)
	}
	var names []string
	left, err := os.ReadDir(parent)
	for _, e := range left {
		names = append(names, e.Name())
	}
	if want := []string{".mastworth", exportUnfinished + "now", "others", "site"}; err != nil || !slices.Equal(names, want) {
		t.Errorf("left are %v, %v", names, err)
	}
}

// What cannot be a club's setting is refused by name.
func TestClubSettings(t *testing.T) {
	for name, values := range map[string][]string{
		"club_address":        {"wind.example.org", "https://wind.example.org/", "https://wind.example.org/club", "ftp://wind.example.org"},
		"club_origins":        {"club.example.org", "https://a.example, b", "https://a.example;x", "https://*.example.org", "null"},
		"club_frames":         {"'none'", "https://a.example/x", "https://a.example https://b.example"},
		"club_place_step_deg": {"0", "0.001", "NaN", "11"},
		"club_name":           {strings.Repeat("x", maxClubName+1)},
		"club_text":           {strings.Repeat("x", maxClubText+1)},
	} {
		for _, v := range values {
			if _, err := loadConfig("", func(string) (string, bool) { return "", false }, map[string]string{name: v}); err == nil || !strings.Contains(err.Error(), name) {
				t.Errorf("%s %q: %v", name, v, err)
			}
		}
	}
	good := map[string]string{"club_address": "https://wind.example.org:8443", "club_origins": "https://a.example, http://b.example:80", "club_frames": "*", "club_place_step_deg": "0.25"}
	if _, err := loadConfig("", func(string) (string, bool) { return "", false }, good); err != nil {
		t.Error(err)
	}
}
