// Package sheet shows a report to people: as text that a crew can work from, run by run and panel by panel, as drawings
// to scale (SVG), as a page for a browser and for paper (HTML), and as a table for a spreadsheet (CSV). Figures are in feet, inches and sixteenths as on the tape, or in
// millimetres. All forms need nothing but the report, and carry its cautions.
package sheet
