package view

// What follows are values of classes and ARIA states.

// Pressed is the value of aria-pressed.
func (b Button) Pressed() string { return truth(b.Now) }

// Current is the value of aria-current.
func (n NavItem) Current() string {
	if n.Here {
		return "page"
	}
	return "false"
}

// Current is the value of aria-current.
func (r BenchRow) Current() string {
	if r.Here {
		return "step"
	}
	return "false"
}

// Class carries the tick of a reading that is kept and counts.
func (c Chip) Class() string {
	if c.Struck {
		return "chip"
	}
	return "chip tick"
}

// Long says that the digits need a smaller size beside the small keys.
func (v BenchValue) Long() bool { return len(v.Digits) > 5 || len(v.Unit) > 2 }

// KeptClass carries the tick when something was kept.
func (s Strip) KeptClass() string {
	if s.Kept == "" || s.Bad {
		return "kept"
	}
	return "kept tick"
}

// Less are the words of the button that gives up.
func (b SaveBanner) Less() string {
	if b.Back {
		return "Back into the field"
	}
	return "Give it up"
}
