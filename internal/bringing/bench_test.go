package bringing_test

import (
	"fmt"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"rungbook/internal/batch"
	"rungbook/internal/civil"
)

// longRows is how many rows a long list has.
const longRows = 100_000

// crewed is how many people the long lists that need some are about.
const crewed = 10_000

// letters spells a number in four letters, so that names are not alike by number.
func letters(n int) string {
	n = n*7919 + 13 // neighbours look unlike each other
	b := make([]byte, 5)
	for i := range b {
		b[i] = "abcdefghijklmnopqrstuvwxyz"[n%26]
		n /= 26
	}
	return strings.ToUpper(string(b[:1])) + string(b[1:])
}

func somebodyNo(n int) string { return letters(n) + " " + letters(n/3+500_000) }

func birthOf(n int) civil.Day {
	return civil.DayOf(1960, time.January, 1) + civil.Day(n%12_000)
}

// listed is the day after which nothing in a long list happened.
var listed = monday - 400

// longLists write one long list of each kind. Those that name people name the
// crew that longCrew lists.
var longLists = map[batch.List]func(*strings.Builder){
	batch.People: func(b *strings.Builder) {
		b.WriteString("Name,Born,Number,Employer\n")
		for i := range longRows {
			fmt.Fprintf(b, "%s,%s,N%d,Works %d\n", somebodyNo(i), birthOf(i), i, i%300)
		}
	},
	batch.Certificates:   func(b *strings.Builder) { longPapers(b, "first aid") },
	batch.Qualifications: func(b *strings.Builder) { longPapers(b, "rescue") },
	batch.Inspections: func(b *strings.Builder) {
		b.WriteString("Rig,Check,Date,Passed,Note\n")
		things := []string{"Tower platform", "Blade face", "Nacelle house"}
		for i := range longRows {
			fmt.Fprintf(b, "%s,structure,%s,yes,as found\n", things[i%len(things)], listed-civil.Day(1+i/len(things)))
		}
	},
	batch.Intakes: func(b *strings.Builder) {
		b.WriteString("Intake,Employer,Programme,From,Until,Name,Born,Number\n")
		for i := range longRows {
			group := i / 10
			from := listed - civil.Day(group%3000)
			fmt.Fprintf(b, "Group %d,Works %d,Work at height,%s,%s,%s,%s,N%d\n", group, group%300, from, from+20, somebodyNo(i%50_000), birthOf(i%50_000), i%50_000)
		}
	},
	batch.Sessions: func(b *strings.Builder) {
		b.WriteString("Exercise,Station,Date,Start,End,Instructor,Name,Number,Present,Result\n")
		for i := range longRows {
			group := i / 10 // of the crew's intakes, who come for 20 days each
			crew, turn := group%(crewed/10), group/(crewed/10)
			from := listed - civil.Day(30+crew)
			fmt.Fprintf(b, "Height theory,Room 2,%s,%02d:%02d,%02d:%02d,Gráinne Ní Mhaolchatha,%s,N%d,yes,competent\n",
				from+civil.Day(turn), 6+crew%16, 0, 6+crew%16, 50, somebodyNo(crew*10+i%10), crew*10+i%10)
		}
	},
}

func longPapers(b *strings.Builder, what string) {
	fmt.Fprintf(b, "Name,Number,%s,From,Until\n", map[bool]string{true: "Qualification", false: "Certificate"}[what == "rescue"])
	for i := range longRows {
		n, turn := i%crewed, i/crewed
		from := listed - civil.Day(400+turn*50)
		fmt.Fprintf(b, "%s,N%d,%s,%s,%s\n", somebodyNo(n), n, what, from, from+900)
	}
}

// longCrew lists the people that a long list is about, and for sessions the intakes
// that they came in; "" for a list that needs nobody on record.
func longCrew(l batch.List) (batch.List, string) {
	var b strings.Builder
	switch l {
	case batch.Certificates, batch.Qualifications:
		b.WriteString("Name,Born,Number\n")
		for i := range crewed {
			fmt.Fprintf(&b, "%s,%s,N%d\n", somebodyNo(i), birthOf(i), i)
		}
		return batch.People, b.String()
	case batch.Sessions:
		b.WriteString("Intake,Employer,Programme,From,Until,Name,Born,Number\n")
		for i := range crewed {
			from := listed - civil.Day(30+i/10)
			fmt.Fprintf(&b, "Crew %d,Works,Work at height,%s,%s,%s,%s,N%d\n", i/10, from, from+20, somebodyNo(i), birthOf(i), i)
		}
		return batch.Intakes, b.String()
	}
	return "", ""
}

// peak returns the most memory that the process held since it was last asked,
// in MB, where the system tells.
func peak() float64 {
	debug.FreeOSMemory()
	var kb float64
	data, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(data)) {
		if _, err := fmt.Sscanf(line, "VmHWM: %f kB", &kb); err == nil {
			break
		}
	}
	if os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) != nil {
		return 0
	}
	return kb / 1024
}

// BenchmarkALongList judges 100,000 rows of each kind of list, and brings them in.
// Beside the time it tells the most memory that the process held.
func BenchmarkALongList(b *testing.B) {
	for _, l := range batch.Lists() {
		b.Run(string(l), func(b *testing.B) {
			d := open(b)
			if list, text := longCrew(l); text != "" {
				d.bring(d.judge(list, "crew.csv", text))
			}
			var text strings.Builder
			longLists[l](&text)
			f := text.String()
			runtime.GC()
			peak()
			var judging, bringing time.Duration
			var most float64
			for b.Loop() {
				began := time.Now()
				j := d.judge(l, "long.csv", f)
				judging += time.Since(began)
				most = max(most, peak())
				if j.Takes() < longRows*99/100 {
					b.Fatalf("%d rows are taken, such as not %s", j.Takes(), lines(j)[:2000])
				}
				began = time.Now()
				made := d.bring(j)
				bringing += time.Since(began)
				b.ReportMetric(max(most, peak()), "peak-MB")
				b.StopTimer()
				shown, err := d.Batch(ctx, d.actor, made)
				if err == nil {
					err = d.TakeBack(ctx, d.actor, made, shown.Rev, d.key())
				}
				if err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
			}
			b.ReportMetric(judging.Seconds()/float64(b.N), "judging-s")
			b.ReportMetric(bringing.Seconds()/float64(b.N), "bringing-s")
			b.ReportMetric(most, "judging-MB")
		})
	}
}
