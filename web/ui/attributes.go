package ui

import "github.com/a-h/templ"

// described ties a control to its hint and error for those who hear the page. A
// group of choices can't be invalid itself (WAI-ARIA 1.2, aria-invalid).
func described(f Field) templ.OrderedAttributes {
	var a templ.OrderedAttributes
	if by := f.describedBy(); by != "" {
		a = append(a, templ.KeyValue[string, any]{Key: "aria-describedby", Value: by})
	}
	if f.Error != "" && f.Kind != Checkboxes && f.Kind != Radio {
		a = append(a, templ.KeyValue[string, any]{Key: "aria-invalid", Value: "true"})
	}
	return a
}

// limits are the attributes a browser checks before it sends.
func limits(f Field) templ.OrderedAttributes {
	var a templ.OrderedAttributes
	for _, v := range []Value{{"min", f.Min}, {"max", f.Max}, {"step", f.Step}, {"inputmode", f.InputMode}} {
		if v.Value != "" {
			a = append(a, templ.KeyValue[string, any]{Key: v.Name, Value: v.Value})
		}
	}
	return a
}
