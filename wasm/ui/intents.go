package ui

import "portwright/wasm/app"

func (c *Strip) toBook() {
	if !c.View.Home {
		c.Send(app.Go{})
	}
}

func (c *Strip) list() { c.Send(app.BenchPanel{Panel: app.PanelList}) }

func (c *SaveBanner) tryAgain() { c.Send(app.TryAgain{}) }

func (c *SaveBanner) giveUp() { c.Send(app.GiveUp{}) }

func (c *UpdateBar) take() { c.Send(app.TakeNewVersion{}) }
