package view

import "portwright/wasm/app"

// PairView asks for the code that lets this device in at the shop PC.
type PairView struct {
	Says       string // why it is asked
	Code, Name string
	Fault      string
	Asking     bool
}

func pairOf(m *app.Model) *PairView {
	if !m.Unpaired() || !m.Pair.Open {
		return nil
	}
	v := &PairView{
		Says: "On the shop PC open Shop and make a code. Until then what is kept here stays on this device.",
		Code: m.Pair.Code, Name: m.Pair.Name, Fault: m.Pair.Said, Asking: m.Pair.Asking,
	}
	if m.Sync.Code == "revoked" {
		v.Says = "The shop PC took this device off its list. What is kept here is safe; to go on, make a new code at Shop."
	}
	return v
}
