package openapi_test

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"mastworth/openapi/contract"
)

// promises are all things a contract promises, sorted. Pages are for people and promise nothing but themselves.
func promises(doc *contract.Document) []promise {
	m := maker{doc: doc, in: map[string]bool{}, out: map[string]bool{}}
	for _, g := range doc.Groups {
		if g.Name == "pages" {
			continue
		}
		for i := range g.Operations {
			m.operation(&g.Operations[i])
		}
	}
	slices.SortFunc(m.all, func(a, b promise) int { return cmp.Compare(a.subject, b.subject) })
	return m.all
}

// maker gathers promises; in and out are the schemas that were gone through as what is taken and what is answered.
type maker struct {
	doc     *contract.Document
	in, out map[string]bool
	all     []promise
}

func (m *maker) add(subject string, facts ...string) {
	slices.Sort(facts)
	m.all = append(m.all, promise{subject, slices.Compact(facts)})
}

func (m *maker) operation(op *contract.Operation) {
	name := "operation " + op.Method + " " + op.Path
	m.add(name)
	for i := range op.Parameters {
		p := &op.Parameters[i]
		facts := m.taken(name+" in "+p.Name, &p.Type)
		if p.Required {
			facts = append(facts, "required")
		}
		m.add(name+" in "+p.Name+" ("+p.In+")", facts...)
	}
	if op.Body != nil {
		for _, media := range op.Body.Media {
			for _, t := range media.Types {
				m.add(name+" takes "+t, m.taken(name+" takes", &media.Type)...)
			}
		}
	}
	for i := range op.Answers {
		a := &op.Answers[i]
		m.add(name + " answers " + a.Status)
		for _, media := range a.Media {
			for _, t := range media.Types {
				m.add(name+" answers "+a.Status+" "+t, m.answered(name+" answers "+a.Status, &media.Type)...)
			}
		}
	}
}

// kind is a type in a word.
func kind(t *contract.Type) string {
	switch {
	case t.Ref != "":
		return t.Ref
	case t.Items != nil:
		return "list of " + kind(t.Items)
	case t.Values != nil && len(t.Properties) == 0:
		return "mapping to " + kind(t.Values)
	case len(t.Choice) > 0:
		each := make([]string, len(t.Choice))
		for i := range t.Choice {
			each[i] = kind(&t.Choice[i])
		}
		slices.Sort(each)
		return strings.Join(each, " or ")
	}
	return cmp.Or(t.Kind, "anything")
}

// taken are the facts of what is taken, and goes on to what it is made of.
func (m *maker) taken(at string, t *contract.Type) []string {
	m.walk("in ", m.in, at, t)
	facts := []string{"type=" + kind(t)}
	for _, l := range t.Limits {
		facts = append(facts, l.Name+"="+l.Value)
	}
	for _, e := range t.Enum {
		facts = append(facts, "word="+e)
	}
	if t.Nullable {
		facts = append(facts, "null")
	}
	return facts
}

// answered are the facts of what is answered.
func (m *maker) answered(at string, t *contract.Type) []string {
	m.walk("out ", m.out, at, t)
	facts := []string{"type=" + kind(t)}
	switch {
	case len(t.Enum) == 0:
	case t.Open:
		for _, e := range t.Enum {
			facts = append(facts, "word="+e)
		}
	default:
		words := slices.Sorted(slices.Values(t.Enum))
		facts = append(facts, "words="+strings.Join(words, "|"))
	}
	if t.Nullable {
		facts = append(facts, "null")
	}
	return facts
}

// walk goes through what a type is made of, each schema once a way.
func (m *maker) walk(way string, seen map[string]bool, at string, t *contract.Type) {
	facts := m.taken
	if way == "out " {
		facts = m.answered
	}
	if t.Ref != "" {
		if s := m.doc.Schema(t.Ref); s != nil && !seen[t.Ref] {
			seen[t.Ref] = true
			if len(s.Type.Properties) > 0 {
				m.members(way, t.Ref, &s.Type)
			} else {
				m.add(way+t.Ref, facts(t.Ref, &s.Type)...)
			}
		}
		return
	}
	for _, part := range []*contract.Type{t.Items, t.Values} {
		if part == nil {
			continue
		}
		if each := strings.ReplaceAll(at, " ", "_") + "[]"; part.Ref == "" && len(part.Limits)+len(part.Enum) > 0 {
			m.add(way+each, facts(each, part)...)
			continue
		}
		m.walk(way, seen, at+"[]", part)
	}
	for i := range t.Choice {
		m.walk(way, seen, at, &t.Choice[i])
	}
	if len(t.Properties) > 0 {
		m.members(way, strings.ReplaceAll(at, " ", "_"), t)
	}
}

func (m *maker) members(way, of string, t *contract.Type) {
	switch {
	case way != "in ":
	case t.Closed:
		m.add(way+of, "closed")
	default:
		m.add(way + of)
	}
	for i := range t.Properties {
		p := &t.Properties[i]
		at := of + "." + p.Name
		var facts []string
		if way == "out " {
			facts = m.answered(at, &p.Type)
			if p.Required {
				facts = append(facts, "always")
			}
		} else {
			facts = m.taken(at, &p.Type)
			if p.Required {
				facts = append(facts, "required")
			}
		}
		m.add(way+at, facts...)
	}
	for _, set := range t.Together {
		if way == "in " {
			m.add(way + of + " with " + strings.Join(set, "+"))
		}
	}
}

// Every way to break a promise is seen, and every way to widen one is not taken for a break.
func TestPromisesThatAreBrokenAreSeen(t *testing.T) {
	was := readPromises("in A\n" + "in A.size\ttype=number\tminimum=0\tmaximum=10\n" + "in A.shape\ttype=string\tword=flat\tword=round\n" + "in A.name\ttype=string\tnull\n" +
		"out B.speed\talways\ttype=number\n" + "out B.answer\ttype=string\twords=no|yes\n" + "out B.basis\ttype=string\tword=map\n" + "operation GET /a\n")
	replace := func(line, by string) []promise {
		text := ""
		for _, w := range was {
			l := w.line()
			if l == line || strings.HasPrefix(l, line+"\t") {
				l = by
			}
			text += l + "\n"
		}
		return readPromises(text)
	}
	for _, c := range []struct {
		line, by string
		broken   string // part of what is said; empty: none
	}{
		{"in A.size", "", "is gone"},
		{"operation GET /a", "operation GET /b", "is gone"},
		{"in A.size", "in A.size\ttype=integer\tminimum=0\tmaximum=10", "it was number"},
		{"in A.size", "in A.size\ttype=number\tminimum=1\tmaximum=10", "minimum is 1 now and was 0"},
		{"in A.size", "in A.size\ttype=number\tminimum=0\tmaximum=9", "maximum is 9 now and was 10"},
		{"in A.size", "in A.size\ttype=number\tminimum=0\tmaximum=10\tmultipleOf=2", "was not limited"},
		{"in A.size", "in A.size\ttype=number\tminimum=0\tmaximum=10\texclusiveMinimum=true", "exclusiveMinimum"},
		{"in A.size", "in A.size\ttype=number\tminimum=0\tmaximum=10\trequired", "must be given"},
		{"in A.size", "in A.size\ttype=number\tminimum=-5\tmaximum=100", ""},
		{"in A.size", "in A.size\ttype=number", ""},
		{"in A", "in A\tclosed", "takes no other member"},
		{"in A.size", "in A.size\ttype=number\tminimum=0\tmaximum=10\nin B with a", ""},
		{"in A.size", "in A.size\ttype=number\tminimum=0\tmaximum=10\nin A with size", "new condition"},
		{"in A.shape", "in A.shape\ttype=string\tword=flat", `"round" was taken`},
		{"in A.shape", "in A.shape\ttype=string\tword=flat\tword=round\tword=square", ""},
		{"in A.name", "in A.name\ttype=string", "null was taken"},
		{"in A.name", "in A.name\ttype=string\tnull\nin A.colour\ttype=string\trequired", "new input"},
		{"in A.name", "in A.name\ttype=string\tnull\nin A.colour\ttype=string", ""},
		{"in A.name", "in A.name\ttype=string\tnull\nin New.colour\ttype=string\trequired", ""},
		{"operation GET /a", "operation GET /a\noperation GET /a in x (query)\ttype=string\trequired", "new parameter"},
		{"operation GET /a", "operation GET /a\noperation GET /c in x (query)\ttype=string\trequired", ""},
		{"out B.speed", "out B.speed\ttype=number", "in every answer"},
		{"out B.speed", "out B.speed\talways\tnull\ttype=number", "may be null"},
		{"out B.speed", "out B.speed\talways\ttype=number\nout B.more\ttype=string", ""},
		{"out B.answer", "out B.answer\ttype=string\twords=maybe|no|yes", "clients know all there are"},
		{"out B.basis", "out B.basis\ttype=string\tword=map\tword=record", ""},
		{"out B.basis", "out B.basis\ttype=string\tword=record", "may not come any more"},
	} {
		broken, fresh := compare(was, replace(c.line, c.by))
		switch said := strings.Join(broken, "\n"); {
		case c.broken == "" && (len(broken) > 0 || len(fresh) == 0):
			t.Errorf("%q: %q, new %q", c.by, broken, fresh)
		case c.broken != "" && !strings.Contains(said, c.broken):
			t.Errorf("%q: %q lacks %q", c.by, said, c.broken)
		}
	}
}

// What is marked deprecated says so in the headers of its answers, as the description promises.
func TestDeprecatedOperationsSayIt(t *testing.T) {
	doc, err := contract.Read()
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range doc.Groups {
		for _, op := range g.Operations {
			for _, a := range op.Answers {
				if op.Deprecated && strings.HasPrefix(a.Status, "2") && !slices.ContainsFunc(a.Headers, func(h contract.Property) bool { return h.Name == "Deprecation" }) {
					t.Errorf("%s is deprecated, and its answer %s has no header Deprecation (RFC 9745)", op.ID, a.Status)
				}
			}
		}
	}
}
