// Package units holds lengths, slopes, volumes and percents exactly.
//
// A [Length] is a whole number of ticks of 1e-9 mm, in which 25.4 mm, 1/512 in and nine decimals of a millimetre are
// all whole. Nothing rounds unless a [Rounding] is given, every overflow is an error, and no result depends on a
// setting of package decimal. All types are values, comparable with ==, whose zero is the quantity 0.
package units
