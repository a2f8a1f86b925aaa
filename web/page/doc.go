// Package page holds one file a page: the page's struct on top, then the
// components that draw it. A struct holds text and typed values ready to show;
// a component looks nothing up and calculates nothing. Every page takes its
// ui.Shell. Read yard.templ first.
package page
