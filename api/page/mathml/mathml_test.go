package mathml

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
)

func TestWrite(t *testing.T) {
	for formula, want := range map[string]string{
		"z_0":          "<msub><mi>z</mi><mn>0</mn></msub>",
		"a/b":          "<mfrac><mi>a</mi><mi>b</mi></mfrac>",
		"x²":           "<msup><mi>x</mi><mn>2</mn></msup>",
		"ln x":         `<mi>ln</mi><mspace width="0.17em"/><mi>x</mi>`,
		"cos² φ":       `<msup><mi>cos</mi><mn>2</mn></msup><mspace width="0.17em"/><mi>φ</mi>`,
		"1.5 - ω":      "<mn>1.5</mn><mo>−</mo><mi>ω</mi>",
		"a < b":        "<mi>a</mi><mo>&lt;</mo><mi>b</mi>",
		"√{1+x}":       "<msqrt><mrow><mn>1</mn><mo>+</mo><mi>x</mi></mrow></msqrt>",
		"bar{v}":       `<mover><mrow><mi>v</mi></mrow><mo>¯</mo></mover>`,
		"Σ_i^n v_i":    "<munderover><mo>Σ</mo><mi>i</mi><mi>n</mi></munderover><msub><mi>v</mi><mi>i</mi></msub>",
		"(a)/b^{k+1}":  "<mfrac><mrow><mo>(</mo><mi>a</mi><mo>)</mo></mrow><msup><mi>b</mi><mrow><mi>k</mi><mo>+</mo><mn>1</mn></mrow></msup></mfrac>",
		"a/b/c":        "<mfrac><mfrac><mi>a</mi><mi>b</mi></mfrac><mi>c</mi></mfrac>",
		"v_i²":         "<msubsup><mi>v</mi><mi>i</mi><mn>2</mn></msubsup>",
		"P′":           "<msup><mi>P</mi><mo>′</mo></msup>",
		"<script>&\"'": "<mo>&lt;</mo><mi>script</mi><mo>&gt;</mo><mo>&amp;</mo><mo>&#34;</mo><mo>&#39;</mo>",
	} {
		got, err := Write(formula)
		if err != nil || got != `<math display="block">`+want+"</math>" {
			t.Errorf("%s:\n%s\nwant\n%s, %v", formula, got, want, err)
		}
	}
	if got, err := Inline("z"); err != nil || got != "<math><mi>z</mi></math>" {
		t.Errorf("%s, %v", got, err)
	}
	for _, wrong := range []string{"(a", "a)", "{a", "a}", "a^", "a_", "/a", "a/", "√", "^2", "[a)"} {
		if got, err := Write(wrong); err == nil {
			t.Errorf("%s gives %s", wrong, got)
		}
	}
}

// Whatever is written comes out well-formed, or is refused.
func FuzzWrite(f *testing.F) {
	for _, s := range []string{"α = {ln(v_2/v_1)}/{ln(z_2/z_1)}", "Σ_{i=1}^n √{x²}", "a;b", "bar{v³}"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, formula string) {
		if strings.ContainsFunc(formula, func(r rune) bool { return r < ' ' || r == 0xfffd || r > 0xffef }) {
			return // no characters of XML
		}
		got, err := Write(formula)
		if err != nil {
			return
		}
		for d := xml.NewDecoder(strings.NewReader(got)); ; {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				return
			} else if err != nil {
				t.Fatalf("%q gives %q: %v", formula, got, err)
			}
		}
	})
}
