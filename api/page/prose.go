package page

import (
	"html/template"
	"strings"
)

// prose makes HTML of the contract's plain descriptions: paragraphs, headings after ##, lists after -, and code between backticks. Anything
// else stays as it is, escaped.
func prose(text string) template.HTML {
	var out strings.Builder
	for block := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		block = strings.TrimSpace(block)
		switch {
		case block == "":
		case strings.HasPrefix(block, "## "):
			title := strings.TrimPrefix(block, "## ")
			out.WriteString("<h2 id=\"" + anchor(title) + "\">" + string(inline(title)) + "</h2>\n")
		case strings.HasPrefix(block, "- "):
			out.WriteString("<ul>\n")
			for item := range strings.SplitSeq("\n"+block, "\n- ") {
				if item != "" {
					out.WriteString("<li>" + string(inline(item)) + "</li>\n")
				}
			}
			out.WriteString("</ul>\n")
		default:
			out.WriteString("<p>" + string(inline(block)) + "</p>\n")
		}
	}
	return template.HTML(out.String()) //nolint:gosec // every part is escaped
}

// inline is text in a line, code between backticks.
func inline(text string) template.HTML {
	parts := strings.Split(strings.Join(strings.Fields(text), " "), "`")
	for i, part := range parts {
		parts[i] = template.HTMLEscapeString(part)
		if i%2 == 1 && i < len(parts)-1 {
			parts[i] = "<code>" + parts[i] + "</code>"
		}
	}
	return template.HTML(strings.Join(parts, "")) //nolint:gosec // every part is escaped
}

// anchor is a heading as the end of an address.
func anchor(title string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r == ' ':
			return '-'
		}
		return -1
	}, title)
}
