package words

import "testing"

// A key that is not there is an error, and a panic for those who know that it must be.
func TestWordsThatAreNotThere(t *testing.T) {
	if _, err := Find("no.such"); err == nil {
		t.Error("words for a key that is not there")
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	Text("no.such")
}

func TestWordsAreFilledIn(t *testing.T) {
	if got := Text("date.day", 3, "May", 2026); got != "3 May 2026" {
		t.Errorf("%q", got)
	}
	if n := len(List("chart.month_names")); n != 12 {
		t.Errorf("%d months", n)
	}
}
