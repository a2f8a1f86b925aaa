// Package web holds what a browser is sent: how values read (format.go), the
// style sheet, script and mark (assets.go), and below it the parts (ui), the
// pages (page) and the drawings (chart). It knows no rule, no store and no
// request: a page is a struct of text and values ready to show, filled by httpd.
// It imports only words and time. Read format.go, then page/yard.templ.
package web
