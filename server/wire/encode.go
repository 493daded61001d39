package wire

import (
	"encoding/json"
	"strconv"
	"unicode/utf8"
)

// writer writes JSON, piece by piece: a phone has no room for encoding/json,
// and for append at every piece neither.
type writer struct{ b []byte }

func (w *writer) bytes(b []byte)             { w.b = append(w.b, b...) }
func (w *writer) raw(s string)               { w.b = append(w.b, s...) }
func (w *writer) number(key string, n int64) { w.raw(key); w.b = strconv.AppendInt(w.b, n, 10) }
func (w *writer) count(key string, n uint64) { w.raw(key); w.b = strconv.AppendUint(w.b, n, 10) }

// text writes a key as it stands and s as a JSON string. Bytes that are no
// UTF-8 become U+FFFD.
func (w *writer) text(key, s string) {
	w.raw(key)
	w.raw(`"`)
	for _, r := range s {
		if r == '"' || r == '\\' || r < ' ' {
			w.raw(`\u00`)
			w.b = append(w.b, hexDigits[r>>4&15], hexDigits[r&15])
		} else {
			w.b = utf8.AppendRune(w.b, r)
		}
	}
	w.raw(`"`)
}

// entries writes entries byte for byte; json.Marshal would take white space
// out of them and break their chain.
func (w *writer) entries(entries []json.RawMessage) {
	w.raw(`,"entries":[`)
	for i, e := range entries {
		if i > 0 {
			w.raw(",")
		}
		w.bytes(e)
	}
	w.raw("]")
}

// AppendPush appends the push as JSON with its entries byte for byte.
func AppendPush(dst []byte, p *Push) []byte {
	w := &writer{dst}
	w.text(`{"device":`, p.Device)
	w.text(`,"app":`, p.App)
	w.number(`,"schema":`, int64(p.Schema))
	w.text(`,"epoch":`, p.Epoch)
	w.number(`,"now_ms":`, p.NowMS)
	for i := range p.Runs {
		r := &p.Runs[i]
		if i == 0 {
			w.raw(`,"runs":[`)
		} else {
			w.raw(",")
		}
		w.text(`{"device":`, r.Device)
		w.count(`,"from":`, r.From)
		w.text(`,"before":`, r.Before)
		w.entries(r.Entries)
		w.raw("}")
	}
	if len(p.Runs) > 0 {
		w.raw("]")
	}
	w.raw("}")
	return w.b
}

// AppendPullAnswer appends the answer as JSON with its entries byte for byte.
func AppendPullAnswer(dst []byte, a PullAnswer) []byte {
	w := &writer{dst}
	w.text(`{"epoch":`, a.Epoch)
	if a.Reset {
		w.raw(`,"reset":true`)
	}
	w.count(`,"next":`, a.Next)
	if a.Mark != "" {
		w.text(`,"mark":`, a.Mark)
	}
	w.raw(`,"more":`)
	w.b = strconv.AppendBool(w.b, a.More)
	w.number(`,"server_ms":`, a.ServerMS)
	w.entries(a.Entries)
	w.raw("}")
	return w.b
}
