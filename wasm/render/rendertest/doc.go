// Package rendertest serves a page that shows the scenes of package scene, for
// the browser tests of the renderer and for measurements.
package rendertest
