package httpd

import (
	"strconv"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/bringing"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// originWords says that a record is not first-hand and where it came from.
func originWords(o bringing.Origin) string {
	s := "Not first-hand: row " + strconv.Itoa(o.Row) + " of a file"
	if o.File != "" {
		s = "Not first-hand: row " + strconv.Itoa(o.Row) + " of " + o.File
	}
	if len(o.Hash) >= 12 {
		s += " (SHA-256 " + o.Hash[:12] + "…)"
	}
	if o.By != "" {
		s += ", vouched for by " + o.By
	}
	return s
}

// originLink leads to the batch whoever may see it.
func (v *visit) originLink(o bringing.Origin) ui.Link {
	l := ui.Link{Text: originWords(o)}
	if access.May(v.actor, access.BringIn) {
		l.Href = "/import/batches/" + string(o.Batch)
	}
	return l
}

// notFirstHand marks what of a person's page was brought in from a file.
func (v *visit) notFirstHand(p *page.Person, rec records.Person, stand, over []credential.Certificate) error {
	person := bringing.Record{Kind: "person", ID: string(rec.Value.ID)}
	list := append(certificateRecords(stand, over), person)
	for _, s := range p.Past {
		list = append(list, sessionRecord(s))
	}
	from, err := v.Bringing.Origins(v.r.Context(), v.actor, rec.Value.ID, list)
	if err != nil {
		return err
	}
	if o, ok := from[person]; ok {
		p.Facts = append(p.Facts, ui.Fact{Label: "This record", Value: v.originLink(o)})
	}
	noteHoldings(p.Holdings, stand, from)
	noteHoldings(p.Over, over, from)
	for i, s := range p.Past {
		if _, ok := from[sessionRecord(s)]; ok {
			p.Past[i].Attendance += ", not first-hand"
		}
	}
	return nil
}

// ownHoldings are a person's certificates with where they came from.
func (v *visit) ownHoldings(of id.Person, list []credential.Certificate) ([]page.Holding, error) {
	out := v.holdings(list)
	from, err := v.Bringing.Origins(v.r.Context(), v.actor, of, certificateRecords(list))
	noteHoldings(out, list, from)
	return out, err
}

func certificateRecords(lists ...[]credential.Certificate) (out []bringing.Record) {
	for _, list := range lists {
		for _, c := range list {
			out = append(out, bringing.Record{Kind: "certificate", ID: string(c.ID)})
		}
	}
	return out
}

func sessionRecord(s page.PersonSession) bringing.Record {
	return bringing.Record{Kind: "session", ID: strings.TrimPrefix(s.Exercise.Href, "/sessions/")}
}

func noteHoldings(rows []page.Holding, list []credential.Certificate, from map[bringing.Record]bringing.Origin) {
	for i, c := range list {
		if o, ok := from[bringing.Record{Kind: "certificate", ID: string(c.ID)}]; ok {
			rows[i].Note = originWords(o)
		}
	}
}
