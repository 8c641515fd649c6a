package method

import (
	"io/fs"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
)

const root = "../../../" // of the module

// passage is a comment, or a line of code, without the signs between its words.
type passage = string

var (
	commentMark = regexp.MustCompile(`^\s*//`)
	spaces      = regexp.MustCompile(`\s+`)
)

// plain levels what the same citation is written with in different ways: brackets and commas before the year, "and" for "&", a genitive.
func plain(s string) string {
	s = strings.NewReplacer("(", " ", ")", " ", "'s ", " ", " and ", " & ", ",", " ").Replace(s)
	return strings.TrimSpace(spaces.ReplaceAllString(s, " "))
}

// passages are the comments and lines of each package's own files, tests apart.
func passages(t *testing.T) map[string][]passage {
	t.Helper()
	out := map[string][]passage{}
	for _, top := range []string{"resource", "yield"} {
		err := fs.WalkDir(os.DirFS(root), top, func(file string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
				return err
			}
			raw, err := os.ReadFile(root + file)
			comment := ""
			flush := func() {
				if comment != "" {
					out[path.Dir(file)] = append(out[path.Dir(file)], plain(comment))
				}
				comment = ""
			}
			for line := range strings.Lines(string(raw)) {
				if mark := commentMark.FindString(line); mark != "" {
					comment += " " + strings.TrimPrefix(line, mark)
					continue
				}
				flush()
				out[path.Dir(file)] = append(out[path.Dir(file)], plain(line))
			}
			flush()
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// said are the words by which the code owns to a source that is no publication; kinds that need no word are not among them.
var said = map[Kind]string{Judgement: "udgement", Practice: "ommon practice", Memory: "from memory", Textbook: "extbook"}

// Every source that the page names is named in the package it is said to be in, and where the page says that it was written down from
// memory, the code says so of it, too.
func TestSourcesAreInTheCode(t *testing.T) {
	in := passages(t)
	for _, g := range Groups() {
		for _, m := range g.Methods {
			if len(m.Sources) == 0 || len(m.Formulas) == 0 || len(m.Packages) == 0 {
				t.Errorf("%s.%s lacks a source, a formula or a package", g.Name, m.Name)
			}
			for _, p := range m.Packages {
				if in[p] == nil {
					t.Errorf("%s.%s is said to be in %s, which is no package", g.Name, m.Name, p)
				}
			}
			for _, s := range m.Sources {
				words := plain(s.Name)
				if s.Kind != Published {
					if words = said[s.Kind]; !slices.Contains(Kinds(), s.Kind) || s.Name != "" || s.Memory {
						t.Errorf("%s.%s: a source of the kind %q", g.Name, m.Name, s.Kind)
					}
				}
				found := slices.ContainsFunc(in[s.Package], func(p passage) bool {
					return strings.Contains(p, words) && (!s.Memory || strings.Contains(p, "from memory"))
				})
				if !found {
					t.Errorf("%s.%s names %q, from memory: %t, which %s does not; name it as the code does", g.Name, m.Name, s.Name, s.Memory, s.Package)
				}
			}
		}
	}
}

var (
	// An author or several, and a year.
	authors = regexp.MustCompile(`(?:[A-ZÅÖ][\pL’'-]+ )?(?:[A-Z][\pL’'-]+ & )?[A-ZÅÖ][\pL’'-]+(?: et al\.?)? (?:1[5-9]|20)\d\d\b`)
	// A standard's or a report's number.
	standards = regexp.MustCompile(`\b(?:(?:IEC|ISO|JCGM|ASTM|RFC|NIST SP) ?-?[A-Z]?\d[\d-]*|FM \d+|WMO-No\. \d+|(?:NREL|NASA)/?[ /]?T[PM]-[\dA-Z-]*\d|NIST Handbook)`)
	// What begins with a capital before a year and is no author.
	noAuthor = regexp.MustCompile(`^(?:January|February|March|April|May|June|July|August|September|October|November|December|Ireland|Europe|Spring|Autumn|[A-Z]) `)
	// Formats of time, which the names of Go's layouts tell.
	layout = regexp.MustCompile(`^RFC ?(?:3339|1123|850)|RFC3339`)
)

// Every source that the code of the science cites is on the page, for that package, so that the page cannot go stale: who writes a new
// citation into a comment writes it into the method's file, too. A source the code calls from memory is called so.
func TestTheCodesSourcesAreNamed(t *testing.T) {
	named := map[string]string{} // by package
	memory := map[string]string{}
	for _, g := range Groups() {
		for _, m := range g.Methods {
			for _, s := range m.Sources {
				named[s.Package] += plain(s.Name) + "\n"
				if s.Memory {
					memory[s.Package] += plain(s.Name) + "\n"
				}
			}
		}
	}
	count := 0
	for pkg, texts := range passages(t) {
		for _, text := range texts {
			for _, of := range []*regexp.Regexp{authors, standards} {
				for _, at := range of.FindAllStringIndex(text, -1) {
					cited := text[at[0]:at[1]]
					if noAuthor.MatchString(cited) || layout.MatchString(cited) {
						continue
					}
					count++
					if !names(named[pkg], cited) {
						t.Errorf("%s cites %q, and no method of that package names it: add it to a file of this folder (%q)", pkg, cited, text)
					}
					if fromMemory.MatchString(text[at[1]:]) && !names(memory[pkg], cited) {
						t.Errorf("%s cites %q from memory, and no method of that package says so (%q)", pkg, cited, text)
					}
				}
			}
		}
	}
	if count < 120 {
		t.Errorf("%d citations only: the search has gone blind", count)
	}
}

// fromMemory follows a citation that the code has from memory.
var fromMemory = regexp.MustCompile(`^[^.;:&]{0,12}from memory`)

// names reports whether a list of names has a citation: whole, or without a word before the first author that is no name.
func names(list, cited string) bool {
	if strings.Contains(list, cited) {
		return true
	}
	_, rest, found := strings.Cut(cited, " ")
	return found && strings.Count(rest, " ") >= 1 && strings.Contains(list, rest)
}

var code = regexp.MustCompile(`"([a-z][a-z0-9_]+)"`)

// Every warning that the page names is one the code gives.
func TestWarningsAreInTheCode(t *testing.T) {
	known := map[string]bool{}
	for _, texts := range passages(t) {
		for _, text := range texts {
			for _, m := range code.FindAllStringSubmatch(text, -1) {
				known[m[1]] = true
			}
		}
	}
	for _, g := range Groups() {
		for _, m := range g.Methods {
			for _, w := range m.Warnings {
				if !known[w] {
					t.Errorf("%s.%s names the warning %q, which nothing gives", g.Name, m.Name, w)
				}
			}
		}
	}
}
