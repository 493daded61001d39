//go:build js && wasm

package browser

import (
	"syscall/js"

	"portwright/wasm/app"
)

// tabs tells the app's other tabs which builds were written, and hears theirs.
type tabs struct {
	channel js.Value
	own     funcs
}

// manyBuilds is the number of builds from which on a tab is told that the
// whole book changed.
const manyBuilds = 8

func newTabs(put func(app.Msg)) *tabs {
	t := &tabs{}
	if global.Get("BroadcastChannel").Type() != js.TypeFunction {
		return t
	}
	t.channel = global.Get("BroadcastChannel").New(databaseName)
	t.own.on(t.channel, "message", func(e js.Value) {
		data := e.Get("data")
		if data.Type() != js.TypeObject || !data.InstanceOf(global.Get("Array")) {
			return
		}
		builds := texts(data)
		if len(builds) > manyBuilds {
			builds = []string{""}
		}
		for _, b := range builds {
			put(app.OtherTab{Build: b})
		}
	})
	return t
}

func (t *tabs) announce(builds []string) {
	if t.channel.IsUndefined() || len(builds) == 0 {
		return
	}
	list := make([]any, len(builds))
	for i, b := range builds {
		list[i] = b
	}
	_ = try(func() { t.channel.Call("postMessage", list) })
}
