package ui

import (
	"github.com/vugu/vugu"

	"portwright/wasm/app"
	"portwright/wasm/view"
)

// BookPage is station Book.
type BookPage struct {
	View *view.BookView
	Send func(app.Msg)
}

func (c *BookPage) settingsOpen() string {
	if c.View.Settings != nil {
		return "true"
	}
	return "false"
}

func (c *BookPage) title() string {
	if c.View.Away {
		return "Put away"
	}
	return "Builds"
}

func (c *BookPage) settings() { c.Send(app.BookSettings{}) }
func (c *BookPage) first()    { c.Send(app.NewBuild{FirstLook: true}) }
func (c *BookPage) whole()    { c.Send(app.NewBuild{}) }
func (c *BookPage) demo()     { c.Send(app.OpenDemo{}) }
func (c *BookPage) search(e vugu.DOMEvent) {
	c.Send(app.BookSearch{Text: e.PropString("target", "value")})
}
func (c *BookPage) turn(by int) { c.Send(app.BookPage{By: by}) }
func (c *BookPage) away()       { c.Send(app.BookAway{Away: !c.View.Away}) }
func (c *BookPage) persist()    { c.Send(app.Persist{}) }
func (c *BookPage) noCompare()  { c.Send(app.BookCompare{}) }
func (c *BookPage) save()       { c.Send(app.SaveBook{}) }
func (c *BookPage) sync()       { c.Send(app.SyncNow{}) }
func (c *BookPage) takeIn()     { c.Send(app.TakeIn{}) }

// BookCard is one build in the list.
type BookCard struct {
	View view.BookCard
	Send func(app.Msg)
}

func (c *BookCard) demo() string {
	if c.View.Demo {
		return "true"
	}
	return "false"
}

func (c *BookCard) compare() { c.Send(app.BookCompare{Build: c.View.ID}) }
func (c *BookCard) more()    { c.Send(app.BookMore{Build: c.View.ID}) }
func (c *BookCard) task(kind string) {
	c.Send(app.BuildTask{Kind: app.TaskKind(kind), Build: c.View.ID})
}
func (c *BookCard) state(to string) {
	c.Send(app.BuildTask{Kind: app.TaskState, Build: c.View.ID, State: to})
}

// BookIncoming says what an import did.
type BookIncoming struct {
	View *view.IncomingView
	Send func(app.Msg)
}

func (c *BookIncoming) done() { c.Send(app.IncomingDone{}) }

// BookSettings are the choices of this device.
type BookSettings struct {
	View *view.SettingsView
	Send func(app.Msg)
}

func (c *BookSettings) theme(v string)   { c.Send(app.SetTheme{Theme: v}) }
func (c *BookSettings) hand(v string)    { c.Send(app.SetHand{Left: v == "left"}) }
func (c *BookSettings) repeats(v string) { c.Send(app.SetRepeats{N: int(v[0] - '0')}) }
