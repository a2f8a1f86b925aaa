package batch

import "testing"

func TestAMarkNamesItsBatchAndRow(t *testing.T) {
	if b, row, ok := Marked(Mark("x7", 12)); b != "x7" || row != 12 || !ok {
		t.Errorf("got %s %d %t", b, row, ok)
	}
	for _, s := range []string{"", "deck-a", "batch-x7", "batch--row-1", "batch-x7-row-0", "batch-x7-row-a"} {
		if _, _, ok := Marked(s); ok {
			t.Errorf("%q is taken for a mark", s)
		}
	}
}
