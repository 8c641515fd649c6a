package openapi_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mastworth/openapi/contract"
)

const promiseHead = `# Everything that version 1 of the contract promises, one thing a line, made from openapi.yaml by go test ./openapi -update.
# A line that is here may not go, and may not get tighter, while there is a version 1; see TestThePromiseIsKept.
#
#   operation METHOD PATH                          is there
#   operation METHOD PATH in NAME (query, …)       a parameter, what it takes, and whether it must be given
#   operation METHOD PATH takes TYPE SCHEMA        a body
#   operation METHOD PATH answers STATUS TYPE SCHEMA
#   in SCHEMA                                      what is taken; "closed" if it takes no member but those below
#   in SCHEMA with A+B                             one of the sets of members of which one must be there
#   in SCHEMA.MEMBER …                             what is taken: its type, its limits, each of its words; "required" if it must be given
#   out SCHEMA.MEMBER …                            what is answered: its type, all of its words; "always" if it is in every answer, "null" if
#                                                  it may be null
`

// What the contract promised once it promises still. A line that has gone, or got tighter, breaks somebody's program: mend openapi.yaml. New
// lines are promises too, so they are made on purpose, with -update. To take a promise back one needs a new version of the API: mark what is
// to go as deprecated, wait for a year, and give it another address.
func TestThePromiseIsKept(t *testing.T) {
	doc, err := contract.Read()
	if err != nil {
		t.Fatal(err)
	}
	is := promises(doc)
	raw, err := os.ReadFile("promise.txt")
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	was := readPromises(string(raw))
	broken, fresh := compare(was, is)
	for _, b := range broken {
		t.Error(b)
	}
	updating := flag.Lookup("update").Value.String() == "true"
	switch {
	case len(broken) > 0:
		t.Errorf("%d promises of version 1 would be broken; openapi.yaml must keep them (promise.txt has them all). -update does not take them back", len(broken))
	case updating:
		text := promiseHead
		for _, p := range is {
			text += p.line() + "\n"
		}
		if err := os.WriteFile("promise.txt", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		for _, f := range fresh {
			t.Errorf("new: %s", f)
		}
		if len(fresh) > 0 {
			t.Errorf("%d promises are new or wider: if they are meant to last, run go test ./openapi -update", len(fresh))
		}
	}
}

// asksMore says of a new promise what it asks that nobody was asked for before; empty for nothing.
func asksMore(was []promise, before map[string]bool, n promise) string {
	any := func(begin string) bool {
		return slices.ContainsFunc(was, func(w promise) bool { return strings.HasPrefix(w.subject, begin) })
	}
	schema, _, condition := strings.Cut(n.subject, " with ")
	operation, _, parameter := strings.Cut(n.subject, " in ")
	owner, _, member := strings.Cut(n.subject, ".")
	required := slices.Contains(n.facts, "required")
	switch {
	case condition && before[schema] && !any(schema+" with "):
		return "condition, which today's requests may not meet"
	case parameter && required && before[operation]:
		return "parameter that must be given, which today's requests do not have: give it a default"
	case member && required && strings.HasPrefix(owner, "in ") && any(owner+"."):
		return "input that must be given, which today's requests do not have: give it a default"
	}
	return ""
}

// promise is one thing and what is said of it: words, and limits as NAME=VALUE.
type promise struct {
	subject string
	facts   []string // sorted
}

func (p promise) line() string {
	return strings.TrimSpace(p.subject + "\t" + strings.Join(p.facts, "\t"))
}

func readPromises(text string) []promise {
	var out []promise
	for line := range strings.Lines(text) {
		if line = strings.TrimRight(line, "\n"); line != "" && line[0] != '#' {
			parts := strings.Split(line, "\t")
			out = append(out, promise{parts[0], parts[1:]})
		}
	}
	return out
}

// compare tells which promises were and are not kept, and which are new or wider.
func compare(was, is []promise) (broken, fresh []string) {
	now := map[string]promise{}
	for _, p := range is {
		now[p.subject] = p
	}
	before := map[string]bool{}
	for _, w := range was {
		before[w.subject] = true
		n, there := now[w.subject]
		if !there {
			broken = append(broken, fmt.Sprintf("%s was promised and is gone: put it back, and mark it deprecated if it is to go in a version 2", w.subject))
			continue
		}
		tight := tighter(w, n)
		for _, why := range tight {
			broken = append(broken, fmt.Sprintf("%s: %s", w.subject, why))
		}
		if len(tight) == 0 && !slices.Equal(w.facts, n.facts) {
			fresh = append(fresh, fmt.Sprintf("%s: now %s, before %s", w.subject, strings.Join(n.facts, " "), strings.Join(w.facts, " ")))
		}
	}
	for _, n := range is {
		if before[n.subject] {
			continue
		}
		fresh = append(fresh, n.line())
		if why := asksMore(was, before, n); why != "" {
			broken = append(broken, n.subject+" is a new "+why)
		}
	}
	return broken, fresh
}

// bound says of a limit in which direction it gets tighter: 1 as it rises, −1 as it falls, 0 with any change.
var bound = map[string]int{"minimum": 1, "minLength": 1, "minItems": 1, "minProperties": 1, "maximum": -1, "maxLength": -1, "maxItems": -1, "maxProperties": -1}

// tighter tells what of a promise is not kept any more.
func tighter(was, is promise) (why []string) {
	taken := !strings.HasPrefix(was.subject, "out ")
	for _, fact := range is.facts {
		name, value, isLimit := strings.Cut(fact, "=")
		switch old, had := factOf(was, name); {
		case slices.Contains(was.facts, fact):
		case fact == "required":
			why = append(why, "it must be given now, and could be left out: today's requests leave it out")
		case fact == "closed":
			why = append(why, "it takes no other member now, and took any")
		case fact == "null" && !taken:
			why = append(why, "it may be null now, which clients do not look for")
		case taken && isLimit && name != "word" && name != "type":
			before, err1 := strconv.ParseFloat(old, 64)
			after, err2 := strconv.ParseFloat(value, 64)
			wider := had && err1 == nil && err2 == nil && (after-before)*float64(bound[name]) <= 0 && bound[name] != 0
			if !wider {
				why = append(why, fmt.Sprintf("%s is %s now and was %s: what was taken would be refused", name, value, orNone(old, had)))
			}
		}
	}
	for _, fact := range was.facts {
		name, value, isLimit := strings.Cut(fact, "=")
		if slices.Contains(is.facts, fact) {
			continue
		}
		switch {
		case name == "type":
			why = append(why, fmt.Sprintf("it was %s and is not any more", value))
		case name == "word" && taken:
			why = append(why, fmt.Sprintf("%q was taken and is not any more", value))
		case name == "word":
			why = append(why, fmt.Sprintf("%q may not come any more, which is another meaning of its absence", value))
		case name == "words":
			now, _ := factOf(is, name)
			why = append(why, fmt.Sprintf("its words were %s and are %s: clients know all there are; only a list marked x-open-enum may grow", value, now))
		case fact == "always":
			why = append(why, "it was in every answer and may be missing now")
		case fact == "null" && taken:
			why = append(why, "null was taken and is not any more")
		case isLimit || fact == "required":
			// looser for what is taken, which is allowed
		}
	}
	return why
}

func factOf(p promise, name string) (value string, is bool) {
	for _, f := range p.facts {
		if v, ok := strings.CutPrefix(f, name+"="); ok {
			return v, true
		}
	}
	return "", false
}

func orNone(v string, is bool) string {
	if !is {
		return "not limited"
	}
	return v
}
