// Package draw turns results into pictures: SVG that needs no script and no
// style sheet, takes its ink from currentColor and tells kinds apart by line,
// never by colour: exhaust solid, transfer and boost double, intake dashed,
// blowdown hatched. It only reads results and works out nothing but where ink
// goes; every number on a picture is one of the result's.
//
// Coordinates are rounded to 0.01, so that a picture is the same text on every
// machine.
package draw
