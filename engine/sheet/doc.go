// Package sheet is the printable record of a build: what was found and what it
// became, each number with how it was had, in which state, and its doubt; the
// cuts planned and made; pictures; cautions. It only reads results of packages
// findings and plan, and adds no reading of its own.
//
// New collects it, HTML writes it as one page that needs nothing else and
// prints on A4 and Letter. The date comes from outside: an engine has no clock.
package sheet
