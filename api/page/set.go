package page

import (
	"crypto/sha256"
	"embed"
	"encoding/base32"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"path"
	"strings"
	"sync"

	"mastworth/api/chart"
)

//go:embed templates assets
var files embed.FS

// Set are the pages. Each is parsed when it is first asked for: most of a service's memory at its start would be pages that nobody
// has looked at. A test parses them all.
type Set struct {
	pages  map[string]func() *template.Template // by file name without its end
	assets map[string]Asset                     // by address
	linked map[string]string                    // address by file name

	Keys bool // whether there is something to sign in to, before the first page is rendered
}

// Asset is a file that pages link to. Its address changes with its content, so that it may be kept for ever.
type Asset struct {
	Path, Type string
	Body       []byte
}

var assetTypes = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

// New lists the pages.
func New() *Set {
	s := &Set{pages: map[string]func() *template.Template{}, assets: map[string]Asset{}, linked: map[string]string{}}
	s.readAssets()
	names, err := fs.Glob(files, "templates/*.html")
	if err != nil {
		panic("page: " + err.Error())
	}
	for _, file := range names {
		name := strings.TrimSuffix(path.Base(file), ".html")
		if name == "frame" || strings.HasPrefix(name, "parts") {
			continue
		}
		s.pages[name] = sync.OnceValue(func() *template.Template {
			return template.Must(template.New("").Funcs(s.functions()).ParseFS(files, "templates/frame.html", "templates/parts*.html", file))
		})
	}
	return s
}

func (s *Set) readAssets() {
	entries, err := fs.ReadDir(files, "assets")
	if err != nil {
		panic("page: " + err.Error())
	}
	for _, e := range entries {
		body, err := files.ReadFile("assets/" + e.Name())
		if err != nil {
			panic("page: " + err.Error())
		}
		s.addAsset(e.Name(), body)
	}
	if _, written := s.linked[chartColours]; !written {
		s.addAsset(chartColours, []byte(chart.Variables()))
	}
}

// chartColours is the style sheet of charts inside pages.
const chartColours = "chart.css"

func (s *Set) addAsset(name string, body []byte) {
	hash := sha256.Sum256(body)
	tag := strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(hash[:8]))
	address := "/assets/" + tag + "/" + name
	s.assets[address] = Asset{Path: address, Type: assetTypes[path.Ext(name)], Body: body}
	s.linked[name] = address
}

// Assets are all files that pages link to, by name.
func (s *Set) Assets() map[string]Asset {
	all := make(map[string]Asset, len(s.linked))
	for name, address := range s.linked {
		all[name] = s.assets[address]
	}
	return all
}

// Asset is the file at an address under /assets/; false where there is none.
func (s *Set) Asset(address string) (Asset, bool) {
	a, ok := s.assets[address]
	return a, ok
}

// functions are those the templates know beside the standard ones.
func (s *Set) functions() template.FuncMap {
	return template.FuncMap{
		"t":     text,
		"keys":  func() bool { return s.Keys },
		"asset": s.link,
		"num":   number,

		"sentence": sentence,
		"ended":    ended,
		"place":    problemPlace,
	}
}

// link is the address of an asset.
func (s *Set) link(name string) (string, error) {
	address, ok := s.linked[name]
	if !ok {
		return "", fmt.Errorf("there is no asset %q", name)
	}
	return address, nil
}

// Frame is what every page has around its own content.
type Frame struct {
	Title   string   // of the page, in words
	Here    string   // which entry of the navigation it belongs to: "new", "sites", "records", "club"; or nothing
	Version string   // of the program
	JSON    string   // address of the same as JSON; or nothing
	More    []string // addresses of what else of it is JSON
	Scripts []string
	Units   []Choice // to choose between, on a page that obeys them
	HereAt  string   // the page's own address, to come back to from that choice
	Embed   bool     // for a frame on another page: without navigation
	Page    any      // the content's own
}

// Render writes a page by the name of its template file.
func (s *Set) Render(w io.Writer, name string, f *Frame) error {
	page, ok := s.pages[name]
	if !ok {
		return fmt.Errorf("there is no page %q", name)
	}
	if err := page().ExecuteTemplate(w, "frame", f); err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	return nil
}
