package page

import (
	"strings"
	"testing"

	"mastworth/openapi"
)

// A file of one row tells of one month and one hour; many gaps are closed behind the first.
func TestShortAndLongReports(t *testing.T) {
	mean := 4.0
	if rows := periodBars([]openapi.PeriodMean{{}, {MeanMS: &mean}, {}}, monthWords, Units{}); len(rows) != 1 || rows[0].Words != monthWords(1) || rows[0].Bar != 100 {
		t.Errorf("%+v", rows)
	}
	for gaps, want := range map[int][2]int{0: {0, 0}, 6: {6, 0}, 7: {5, 2}, 15: {5, 10}, 40: {5, 10}} {
		r := openapi.ImportReport{GapCount: int64(gaps), Gaps: make([]openapi.ImportGap, gaps)}
		for i := range r.Gaps {
			r.Gaps[i].Missing = int64(i + 1)
		}
		out := newRecordReport(&r, Units{})
		if len(out.Gaps) != want[0] || len(out.FurtherGaps) != want[1] || int(out.MoreGaps) != gaps-want[0]-want[1] {
			t.Errorf("%d gaps: %d, %d and %d", gaps, len(out.Gaps), len(out.FurtherGaps), out.MoreGaps)
		}
		if gaps > 0 && (!strings.HasSuffix(out.Gaps[0], "one row missing") || !strings.HasSuffix(out.Gaps[1], "2 rows missing")) {
			t.Error(out.Gaps)
		}
	}
}
