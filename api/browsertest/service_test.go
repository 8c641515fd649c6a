package browsertest

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"mastworth/deploy/running"
)

// demo starts the service with the invented garden in it.
func demo(t *testing.T, more ...string) *running.Instance {
	t.Helper()
	arguments := append([]string{"serve", "--demo", "--listen", "127.0.0.1:0", "--requests-per-second=0"}, more...)
	i, err := running.Try(t, t.TempDir(), arguments...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { i.Stop(t) })
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		if len(siteIDs(t, i)) > 0 {
			return i
		}
		if time.Since(began) > 20*time.Second {
			t.Fatal("the demo does not come")
		}
	}
}

// siteIDs are the saved sites, in order.
func siteIDs(t *testing.T, i *running.Instance) (ids []string) {
	t.Helper()
	var list struct {
		Sites []struct {
			ID string `json:"id"`
		} `json:"sites"`
	}
	get(t, i.Base+"/v1/sites", &list)
	for _, s := range list.Sites {
		ids = append(ids, s.ID)
	}
	return ids
}

// get reads JSON.
func get(t *testing.T, url string, into any) {
	t.Helper()
	send(t, http.MethodGet, url, "", nil, into)
}

// send makes a request whose answer is JSON, and takes any but a success as the test's end.
func send(t *testing.T, method, url, media string, body io.Reader, into any) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, url, body)
	if err != nil {
		t.Fatal(err)
	}
	if media != "" {
		r.Header.Set("Content-Type", media)
	}
	r.Header.Set("Accept", "application/json")
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode > 299 {
		t.Fatalf("%s %s: %s %v %s", method, url, answer.Status, err, text)
	}
	if into != nil {
		if err := json.Unmarshal(text, into); err != nil {
			t.Fatalf("%s %s: %v", method, url, err)
		}
	}
}

// dataFile is the path of a file of the shared data.
func dataFile(t *testing.T, parts ...string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(append([]string{"..", "..", "..", "shared", "data"}, parts...)...))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		absent(t, "the shared data are not there: %v", err)
	}
	return path
}
