package page

import (
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// sentence makes one of words that were written to be part of one.
func sentence(words string) string {
	if words == "" {
		return ""
	}
	words = plainly(words)
	if word, _, _ := strings.Cut(words, " "); !strings.ContainsAny(word, "._[") { // the name of a place in the document stays as it is
		first, n := utf8.DecodeRuneInString(words)
		words = strings.ToUpper(string(first)) + words[n:]
	}
	return ended(words)
}

// ended closes a sentence.
func ended(words string) string {
	words = plainly(words)
	if words == "" || strings.ContainsRune(".!?", rune(words[len(words)-1])) {
		return words
	}
	return words + "."
}

var (
	apostrophe = regexp.MustCompile(`(\pL)'(\pL)`)                // between letters, as those who type write it
	below      = regexp.MustCompile(`(^|[\s(])-(\d)`)             // the hyphen of a number below nothing
	obstacleAt = regexp.MustCompile(`\bsite\.obstacles\[(\d+)\]`) // what an estimate calls an obstacle without a name
)

// plainly has words that were written for the terminal and the wire in the page's own spelling.
func plainly(words string) string { return outsideQuotes(inClasses(words), spelled) }

// outsideQuotes changes all of a sentence but what stands in straight quotation marks: the names of columns, records and files.
func outsideQuotes(words string, change func(string) string) string {
	parts := strings.Split(words, `"`)
	for i := 0; i < len(parts); i += 2 {
		parts[i] = change(parts[i])
	}
	return strings.Join(parts, `"`)
}

func spelled(words string) string {
	words = apostrophe.ReplaceAllString(words, "$1’$2")
	words = below.ReplaceAllString(words, "${1}"+minus+"$2")
	return inOptions(inLabels(obstacleAt.ReplaceAllStringFunc(words, func(place string) string {
		i, err := strconv.Atoi(obstacleAt.FindStringSubmatch(place)[1])
		if err != nil {
			return place
		}
		name := obstacleName(i)
		first, n := utf8.DecodeRuneInString(name)
		return strings.ToLower(string(first)) + name[n:]
	})))
}

// obstacleName is what the pages call an obstacle without a name: as the form does.
func obstacleName(i int) string { return Text("form.site.obstacles.row", i+1) }
