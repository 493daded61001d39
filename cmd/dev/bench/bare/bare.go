// Command bare is a page of vugu with vugu's own renderer and nothing else: the
// measure for how much of the app's weight is the app.
package main

//go:generate go tool vugugen -skip-go-mod -skip-main .

// Root is the page.
type Root struct {
	Shown bool
	Lines []string
}

func (c *Root) turn() { c.Shown = !c.Shown }
