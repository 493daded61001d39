package app_test

import (
	"strings"
	"testing"

	"portwright/engine/build/demo"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

// A build that was put away is offered back when its file comes in.
func TestAFileOfABuildPutAwayBringsItBack(t *testing.T) {
	p := newBook()
	p.send(app.OpenDemo{})
	p.settle()
	id := p.m.Open.ID
	p.send(app.Navigated{Hash: ""})
	p.settle()
	p.send(app.BuildTask{Kind: app.TaskState, Build: id, State: app.StateAway})
	p.settle()
	p.send(app.FilePicked{Name: "demo.json", Data: demo.Build()})
	p.settle()
	v := view.Of(p.m).Book.Incoming
	if v.Act.Words != "Bring it back" {
		t.Fatalf("says %q, offers %q", v.Lines, v.Act.Words)
	}
	p.send(v.Act.Msg)
	p.settle()
	if shown := p.m.ShownCards(); len(shown) != 1 || shown[0].Build != id {
		t.Errorf("shown are %+v", shown)
	}
	if v := view.Of(p.m).Book.Incoming; v == nil || !strings.Contains(v.Lines[0], "is back") {
		t.Errorf("says %+v", v)
	}
}
