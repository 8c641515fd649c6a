package browsertest

import (
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// plainly goes the same way as a browser without scripts: the page's form, the example's button, the form again with the file.
func plainly(t *testing.T, base, file string) result {
	t.Helper()
	filled := postForm(t, base+"/new", typedOver(formOf(t, getText(t, base+"/new")), "do", "example", "example", "garden"), "")
	values := formOf(t, filled)
	for _, a := range answers {
		values.Set(a[0], a[1])
	}
	values = typedOver(values, "do", "see", "site.ground.cover", "rough", "none.obstacles", "on", "by.wind", "file")
	text := postForm(t, base+"/new", values, file)
	verdict := regexp.MustCompile(`(?s)id="verdict"[^>]*>(.*?)</p>`)
	energy := regexp.MustCompile(`(?s)id="number-energy".*?class="value">(.*?)</span>`)
	v, e := verdict.FindStringSubmatch(text), energy.FindStringSubmatch(text)
	if v == nil || e == nil {
		t.Fatalf("no result: %.2000s", text)
	}
	return result{verdict: spaced(html.UnescapeString(v[1])), energy: spaced(html.UnescapeString(e[1]))}
}

func typedOver(v url.Values, pairs ...string) url.Values {
	for i := 0; i < len(pairs); i += 2 {
		v.Set(pairs[i], pairs[i+1])
	}
	return v
}

func getText(t *testing.T, at string) string {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	return answerText(t, r)
}

// postForm sends a form and follows to where the answer leads.
func postForm(t *testing.T, at string, values url.Values, file string) string {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, all := range values {
		for _, v := range all {
			if err := form.WriteField(name, v); err != nil {
				t.Fatal(err)
			}
		}
	}
	if file != "" {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		part, err := form.CreateFormFile("wind.file", filepath.Base(file))
		if err == nil {
			_, err = part.Write(content)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, at, &body)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", form.FormDataContentType())
	return answerText(t, r)
}

func answerText(t *testing.T, r *http.Request) string {
	t.Helper()
	r.Header.Set("Accept", "text/html")
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%s %s: %s %v %.2000s", r.Method, r.URL, answer.Status, err, text)
	}
	return string(text)
}

// formOf are the values that a browser would send of a page's guided form, buttons and files aside.
func formOf(t *testing.T, text string) url.Values {
	t.Helper()
	root, err := html.Parse(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	values := url.Values{}
	for n := range root.Descendants() {
		if n.Type != html.ElementNode || attribute(n, "name") == "" {
			continue
		}
		name := attribute(n, "name")
		switch n.Data {
		case "input":
			kind := attribute(n, "type")
			if kind == "file" || kind == "image" || (kind == "radio" || kind == "checkbox") && !has(n, "checked") {
				continue
			}
			values.Add(name, attribute(n, "value"))
		case "textarea":
			if n.FirstChild != nil {
				values.Add(name, n.FirstChild.Data)
			}
		case "select":
			values.Add(name, chosen(n))
		}
	}
	return values
}

// chosen is a list's value: of the option that is marked, else of the first.
func chosen(list *html.Node) string {
	var first *html.Node
	for n := range list.Descendants() {
		if n.Type != html.ElementNode || n.Data != "option" {
			continue
		}
		if has(n, "selected") {
			return attribute(n, "value")
		}
		if first == nil {
			first = n
		}
	}
	if first == nil {
		return ""
	}
	return attribute(first, "value")
}

func has(n *html.Node, name string) bool {
	for _, a := range n.Attr {
		if a.Key == name {
			return true
		}
	}
	return false
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}
