// Package ui holds the small parts every page is made of: the shell around a
// page, fields, tables, verdicts, states, notices. A part takes text and values
// ready to show and decides nothing. Nobody writes an <input> outside this
// package. Read shell.templ, then form.templ.
package ui
