// Package sheet writes a report as a sheet of plain text that a crew can work from: run by run and panel by panel,
// in feet, inches and sixteenths as on the tape, then what to buy and cut, what can't be met, and the order of work.
package sheet
