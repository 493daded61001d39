package browser

// wants says whether a key is one that a station may answer to: what a
// keyboard and a cordless number pad have for entering readings.
func wants(key string) bool {
	if len(key) == 1 {
		return key >= "0" && key <= "9" || key == "." || key == "," || key == "-" || key == "+" || key == "/" || key == "*"
	}
	switch key {
	case "Enter", "Backspace", "Delete", "Escape", "ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "PageUp", "PageDown":
		return true
	}
	return false
}

// Kinds of element that may have the focus, as far as keys are concerned.
type focused int

const (
	onNothing focused = iota
	onField           // takes text: every key belongs to it
	onControl         // a button or link reached with the keyboard: Enter works it
)

// forApp says whether a key goes to the app: not while a field takes text, and
// Enter not to a control that was reached with the keyboard. A control that was
// tapped keeps the focus but not the Enter key, since the number pad's Enter
// means Keep.
func forApp(key string, at focused) bool {
	if !wants(key) || at == onField {
		return false
	}
	return !(at == onControl && key == "Enter")
}
