package httpd

import (
	"net/http"
	"net/url"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/sums"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// sumRoutes are the engineering sums. What is typed stands in the address and is
// not kept.
func sumRoutes() []route {
	return []route{
		{get, "/sums", access.SeeStation, sumsPage},
		{get, "/sums/{sum}", access.SeeStation, sumPage},
	}
}

func sumsPage(v *visit) error {
	p := page.Sums{Shell: v.page("Engineering sums", "yard")}
	for _, s := range sums.All() {
		p.Rows = append(p.Rows, page.SumRow{Name: ui.Link{Text: s.Title, Href: "/sums/" + s.Name}, For: s.For})
	}
	return v.show(http.StatusOK, page.SumsPage(p))
}

// sumPlaces is how many digits behind the point a number of a sum may have.
const sumPlaces = 3

func sumPage(v *visit) error {
	s, ok := sums.ByName(v.param("sum"))
	if !ok {
		return fault.New(fault.NotFound, "There is no such sum.")
	}
	a, status := answersOf(v.r.URL.Query()), http.StatusOK
	p := page.Sum{Shell: v.page(s.Title, "yard"), Title: s.Title, For: s.For, Formula: s.Formula, Source: s.Source, Holds: s.Holds,
		Form: ui.Form{Action: "/sums/" + s.Name, Get: true, Button: "Work it out", Lead: "Not worked out. To mend:"}}
	if asked := len(a.Values) > 0; asked {
		result, err := s.Work(sumGiven(s, a))
		if fields, is := formErrors(err); is {
			for name, says := range fields {
				a.bad.Add(name, "%s", says)
			}
		} else if err != nil {
			return err
		}
		if len(a.bad) > 0 {
			status = http.StatusUnprocessableEntity
		} else {
			p.Answer, p.Steps, p.Says = result.Answer, result.Steps, result.Says
			p.Given = sumFacts(s, a)
		}
	} else {
		example := url.Values{}
		for name, text := range s.Example {
			example.Set(name, text)
		}
		p.Example = ui.Link{Text: "Look at an example", Href: "/sums/" + s.Name + "?" + example.Encode()}
	}
	p.Fields = sumFields(s, a)
	p.Form.Errors = ui.Errors(p.Fields)
	return v.show(status, page.SumPage(p))
}

// sumGiven reads what was typed. A number that can't be read has its message in bad.
func sumGiven(s sums.Sum, a answers) sums.Given {
	out := sums.Given{Numbers: map[string]float64{}, Choices: map[string]string{}}
	for _, ask := range s.Asks {
		if len(ask.Choices) > 0 {
			out.Choices[ask.Name] = a.text(ask.Name)
		} else if n, stated := a.decimal(ask.Name, sumPlaces, false); stated {
			out.Numbers[ask.Name] = float64(n) / 1000
		}
	}
	return out
}

func sumFields(s sums.Sum, a answers) []ui.Field {
	var out []ui.Field
	for _, ask := range s.Asks {
		f := ui.Field{Name: ask.Name, Label: ask.Label, Unit: ask.Unit, Value: a.text(ask.Name), Error: a.bad[ask.Name], Short: true, InputMode: "decimal", Required: !ask.Optional}
		if len(ask.Choices) > 0 {
			f.Kind, f.Short, f.InputMode = ui.Select, false, ""
			f.Options = []ui.Option{{Label: "Choose"}}
			for _, c := range ask.Choices {
				f.Options = append(f.Options, ui.Option{Value: c.Name, Label: c.Label, Chosen: c.Name == f.Value})
			}
		}
		out = append(out, f)
	}
	return out
}

// sumFacts repeat what was typed, so that a printed sheet is whole.
func sumFacts(s sums.Sum, a answers) []ui.Fact {
	var out []ui.Fact
	for _, ask := range s.Asks {
		text := a.text(ask.Name)
		for _, c := range ask.Choices {
			if c.Name == text {
				text = c.Label
			}
		}
		if text != "" {
			if ask.Unit != "" {
				text += " " + ask.Unit
			}
			out = append(out, fact(ask.Label, text))
		}
	}
	return out
}
