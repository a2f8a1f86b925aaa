package httpd

import (
	"io"
	"net/http"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/archive"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// archiveRoutes are the whole record as one file.
func archiveRoutes() []route {
	return []route{
		{get, "/archive", access.TakeArchive, archivePage},
		{get, "/archive/whole.zip", access.TakeArchive, takeArchive},
	}
}

func archivePage(v *visit) error {
	p := page.Archive{Shell: v.page("Archive", "set-up"), Over: ui.Link{Text: "Set up the yard", Href: "/set-up"},
		Take: ui.Link{Text: "Download the archive", Href: "/archive/whole.zip"}}
	for _, h := range archive.Holds() {
		p.Holds = append(p.Holds, page.ArchivePart{Name: h.Name, Says: h.Says})
	}
	p.Lacks = append(p.Lacks, page.ArchivePart{Name: "The key that signs the ledger", Says: "It never leaves by a page. Keep rungbook.key of the server’s folder safe: an archive without it can be read, but not brought back."})
	for _, l := range archive.NotHeld() {
		p.Lacks = append(p.Lacks, page.ArchivePart{Name: l.What, Says: strings.ToUpper(l.Why[:1]) + l.Why[1:] + "."})
	}
	return v.show(http.StatusOK, page.ArchivePage(p))
}

func takeArchive(v *visit) error {
	t, err := v.Archive.Take(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.sendFile("Archive "+v.today.String(), "zip", t.Size, func(w io.Writer) error { _, err := t.WriteTo(w); return err })
	if err := t.Close(); err != nil {
		v.log.Error("an archive's temporary file", "err", err)
	}
	return nil
}
