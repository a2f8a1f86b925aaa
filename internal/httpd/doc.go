// Package httpd serves Rungbook's pages: it reads a request, makes one call to a
// journey, and fills a page. It holds no rule, no SQL and no arithmetic.
//
// routes.go is the table of every address with the action it needs; visit.go is
// what a handler gets; errors.go turns kinds of error into statuses; the other
// files hold the handlers, one file a group of pages. Read routes.go first.
package httpd
