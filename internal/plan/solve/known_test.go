package solve

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"io"
	"os"
	"strconv"
	"testing"

	"rungbook/internal/plan"
	"rungbook/internal/plan/check"
	"rungbook/internal/plan/solve/bound"
)

// known is a problem and the least cost of a valid plan of it that was ever seen.
type known struct {
	name string
	p    *plan.Problem
	cost plan.Cost
}

// knownCosts reads testdata/known_costs.csv; a file that is not the one the cost
// was seen for fails the test.
func knownCosts(t *testing.T) (out []known) {
	t.Helper()
	const dir = "../../../testdata/"
	file, err := os.Open(dir + "known_costs.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		name, sum := row[0], row[2]
		cost, err := strconv.ParseInt(row[3], 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(dir + "problems/" + name + ".json")
		if err != nil {
			data = unzip(t, dir+"problems/"+name+".json.gz")
		}
		if got := sha256.Sum256(data); hex.EncodeToString(got[:]) != sum {
			t.Fatalf("%s is not the problem that its known cost is of", name)
		}
		p, err := plan.DecodeProblem(data)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, known{name, p, plan.Cost(cost)})
	}
	return out
}

func unzip(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	r, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	data, err = io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// leastBounds is what a few steps prove; a change that proves less must say why.
var leastBounds = map[string]plan.Cost{"small": 15_510, "rich-small": 27_150, "medium": 60_780, "medium-tight": 135_840,
	"rich-medium": 105_700, "large": 521_250, "half-year": 629_700, "half-year-tight": 879_000}

func TestNoBoundPassesTheLeastCostEverSeen(t *testing.T) {
	for _, k := range knownCosts(t) {
		c := bound.New(k.p, nil)
		for range 24 {
			c.Step()
		}
		if c.Best() > k.cost {
			t.Errorf("%s: no plan is said to cost less than %d, but one of %d was seen", k.name, c.Best(), k.cost)
		}
		if c.Best() < leastBounds[k.name] {
			t.Errorf("%s: 24 steps prove only %d", k.name, c.Best())
		}
		t.Logf("%s: %d proven of %d known", k.name, c.Best(), k.cost)
	}
}

func TestEveryPlanCostsItsBoundAtLeastWhateverTheSeed(t *testing.T) {
	for _, k := range knownCosts(t)[:3] {
		for seed := range int64(3) {
			made := Plan(k.p, Options{Seed: seed, Effort: 3, Prove: proven})
			judged := check.New(k.p).Board(made.Sessions).All()
			if len(judged.Findings) > 0 || made.Owed > 0 {
				t.Fatalf("%s, seed %d: the plan is not valid: %v", k.name, seed, judged.Findings)
			}
			if made.Cost < made.Bound || made.Bound > k.cost {
				t.Errorf("%s, seed %d: bound %d, plan %d, least cost seen %d", k.name, seed, made.Bound, made.Cost, k.cost)
			}
		}
	}
}
