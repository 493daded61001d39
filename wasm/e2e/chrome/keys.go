package chrome

import (
	"strings"
	"unicode/utf8"
)

// keyDef describes a key as UI Events names it. vk is the Windows virtual key
// code, which the protocol asks for.
type keyDef struct {
	key, code, text string
	vk              int64
	pad             bool // on the number pad
	shift           bool // needs Shift
}

// keyFor returns the key of a name. Virtual key codes: Windows, "Virtual-Key
// Codes"; names: W3C, UI Events KeyboardEvent key and code values.
func keyFor(name string) (keyDef, bool) {
	switch name {
	case "Enter":
		return keyDef{"Enter", "Enter", "\r", 13, false, false}, true
	case "NumpadEnter":
		return keyDef{"Enter", "NumpadEnter", "\r", 13, true, false}, true
	case "Tab":
		return keyDef{"Tab", "Tab", "", 9, false, false}, true
	case "Escape":
		return keyDef{"Escape", "Escape", "", 27, false, false}, true
	case "Backspace":
		return keyDef{"Backspace", "Backspace", "", 8, false, false}, true
	case "Delete":
		return keyDef{"Delete", "Delete", "", 46, false, false}, true
	case "Space", " ":
		return keyDef{" ", "Space", " ", 32, false, false}, true
	case "Home":
		return keyDef{"Home", "Home", "", 36, false, false}, true
	case "End":
		return keyDef{"End", "End", "", 35, false, false}, true
	case "PageUp":
		return keyDef{"PageUp", "PageUp", "", 33, false, false}, true
	case "PageDown":
		return keyDef{"PageDown", "PageDown", "", 34, false, false}, true
	case "ArrowLeft":
		return keyDef{"ArrowLeft", "ArrowLeft", "", 37, false, false}, true
	case "ArrowUp":
		return keyDef{"ArrowUp", "ArrowUp", "", 38, false, false}, true
	case "ArrowRight":
		return keyDef{"ArrowRight", "ArrowRight", "", 39, false, false}, true
	case "ArrowDown":
		return keyDef{"ArrowDown", "ArrowDown", "", 40, false, false}, true
	case "NumpadDecimal":
		return keyDef{".", "NumpadDecimal", ".", 110, true, false}, true
	case "NumpadSubtract":
		return keyDef{"-", "NumpadSubtract", "-", 109, true, false}, true
	case "NumpadAdd":
		return keyDef{"+", "NumpadAdd", "+", 107, true, false}, true
	}
	if d, ok := strings.CutPrefix(name, "Numpad"); ok {
		if len(d) == 1 && d[0] >= '0' && d[0] <= '9' {
			return keyDef{d, name, d, 96 + int64(d[0]-'0'), true, false}, true
		}
		return keyDef{}, false
	}
	return characterKey(name)
}

// characterKey is the key of one printed character.
func characterKey(name string) (keyDef, bool) {
	if utf8.RuneCountInString(name) != 1 {
		return keyDef{}, false
	}
	k := keyDef{key: name, text: name}
	switch c := name[0]; {
	case c >= '0' && c <= '9':
		k.code, k.vk = "Digit"+name, int64(c)
	case c >= 'a' && c <= 'z':
		k.code, k.vk = "Key"+strings.ToUpper(name), int64(c-'a'+'A')
	case c >= 'A' && c <= 'Z':
		k.code, k.vk, k.shift = "Key"+name, int64(c), true
	case c == '.':
		k.code, k.vk = "Period", 190
	case c == ',':
		k.code, k.vk = "Comma", 188
	case c == '-':
		k.code, k.vk = "Minus", 189
	case c == '/':
		k.code, k.vk = "Slash", 191
	case c == '?':
		k.code, k.vk, k.shift = "Slash", 191, true
	}
	return k, true
}
