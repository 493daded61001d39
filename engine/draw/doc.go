// Package draw turns results into pictures: SVG that needs no script and no
// style sheet, takes its ink from currentColor and tells kinds apart by line,
// never by colour: exhaust solid, transfer and boost double, intake dashed,
// blowdown hatched, metal to come off hatched to a broken line. It only reads
// results and works out nothing but where ink goes: where the piston stands at
// an angle, and how much of a window is open then, are asked of crank and port.
// Ink that stands for something is a path with a class, which tests measure.
// In a section what stands in front hides what lies behind with class paper,
// white without a style sheet.
//
// Coordinates are rounded to 0.01, so that a picture is the same text on every
// machine.
package draw
