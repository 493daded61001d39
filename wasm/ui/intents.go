package ui

import "portwright/wasm/app"

func (c *Strip) toBook() { c.Send(app.Go{}) }

func (c *SaveBanner) tryAgain() { c.Send(app.TryAgain{}) }

func (c *UpdateBar) take() { c.Send(app.TakeNewVersion{}) }
