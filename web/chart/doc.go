// Package chart turns numbers into drawings. The geometry is plain Go that can
// be tested without a browser; a template beside it only writes the paths down.
// Line weights, states and texts carry names, and the style sheet gives them
// their look, so a drawing follows the theme and prints. Read yard.go, then
// elevation.go.
package chart
