package httpd

import (
	"net/http"
	"strconv"
	"sync"
	"testing"

	"rungbook/internal/access"
)

// TestManyReadAndWriteAtOnce is for the race detector: everything that requests
// share is asked for from several sides while stations are shut and opened.
func TestManyReadAndWriteAtOnce(t *testing.T) {
	s := open(t)
	places := s.places()
	paths := []string{"/", "/week/" + monday.WeekString(), "/attention", fill("/sessions/{session}", places), "/coverage", "/book", "/people"}
	var wait sync.WaitGroup
	for n := range 3 {
		r := s.as(access.Instructor)
		wait.Go(func() {
			for i := range paths {
				path := paths[(i+n)%len(paths)]
				if w := r.get(path); w.Code != http.StatusOK {
					t.Errorf("%s: %d", path, w.Code)
				}
			}
		})
	}
	r := s.as(access.Instructor)
	wait.Go(func() {
		for i := range 4 {
			form := vals("key", "many "+strconv.Itoa(i), "reason", "fault", "from", (monday + 1).String(), "from_time", "0"+strconv.Itoa(i+1)+":00", "to", (monday + 1).String(), "to_time", "06:00")
			if w := r.post("/stations/"+places["{station}"]+"/shut", form); w.Code != http.StatusSeeOther {
				t.Errorf("shutting: %d", w.Code)
			}
		}
	})
	wait.Wait()
}
