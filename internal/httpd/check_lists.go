package httpd

import (
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/keeping"
	"rungbook/internal/rig"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// checkListRoutes are the lists that are looked at before each use.
func checkListRoutes() []route {
	return []route{
		{get, "/set-up/check-lists", access.ChangeYard, checkListsForm},
		{post, "/set-up/check-lists", access.ChangeYard, keepCheckLists},
	}
}

var checkedWords = map[rig.CheckedKind]string{
	rig.CheckedKind(rig.TowerPlatform): "Tower platform", rig.CheckedKind(rig.BladeFace): "Blade face", rig.CheckedKind(rig.NacelleHouse): "Nacelle house",
	rig.CheckedKind(rig.Classroom): "Classroom", rig.CheckedKind(rig.Workshop): "Workshop", rig.CourseKit: "Course kit", rig.RescueKit: "Rescue kit",
}

// checkListsSheet shows every list, one item a line. A kind without a list gets an
// example to edit, which counts for nothing until it is kept.
func (v *visit) checkListsSheet() (sheet, error) {
	lists, err := v.Keeper.CheckLists(v.r.Context(), v.actor)
	if err != nil {
		return sheet{}, err
	}
	s := sheet{title: "Check lists before use", line: "One item a line. A session starts only once each item was looked at. A competent person and the maker’s instructions say what belongs here.",
		address: "/set-up/check-lists", button: "Keep these lists"}
	g := page.FieldGroup{}
	for _, kind := range rig.CheckedKinds() {
		f := ui.Field{Name: string(kind), Label: checkedWords[kind], Kind: ui.Area, Value: strings.Join(lists[kind], "\n"), Hint: "Kept as the centre’s own."}
		if _, kept := lists[kind]; !kept {
			f.Hint = "An example, not kept yet: never complete. Edit it, then keep it."
			f.Value = strings.Join(rig.ExampleItems(kind), "\n")
		}
		g.Fields = append(g.Fields, f)
	}
	s.groups = []page.FieldGroup{g}
	return s, nil
}

func checkListsForm(v *visit) error { return v.showSheet(v.checkListsSheet()) }

func keepCheckLists(v *visit) error {
	return v.sendSheet(v.checkListsSheet, func(a answers) error {
		lists := keeping.Lists{}
		for _, kind := range rig.CheckedKinds() {
			lists[kind] = []string{}
			for line := range strings.Lines(a.Get(string(kind))) {
				if line = strings.TrimSpace(line); line != "" {
					lists[kind] = append(lists[kind], line)
				}
			}
		}
		return v.Keeper.KeepCheckLists(v.r.Context(), v.actor, lists, v.key())
	}, "/set-up/check-lists", "The lists are kept.")
}
