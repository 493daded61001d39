package wire

import (
	"encoding/json"
	"strconv"
)

// AppendPush appends the push as JSON with its entries byte for byte;
// json.Marshal would take white space out of them and break their chain.
func AppendPush(dst []byte, p Push) ([]byte, error) {
	runs := p.Runs
	p.Runs = nil
	dst, err := appendOpen(dst, p)
	if err != nil || len(runs) == 0 {
		return append(dst, '}'), err
	}
	dst = append(dst, `,"runs":[`...)
	for i, r := range runs {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = append(dst, `{"device":`...)
		if dst, err = appendValue(dst, r.Device); err != nil {
			return nil, err
		}
		dst = append(dst, `,"from":`...)
		dst = strconv.AppendUint(dst, r.From, 10)
		dst = append(dst, `,"before":`...)
		if dst, err = appendValue(dst, r.Before); err != nil {
			return nil, err
		}
		dst = append(dst, `,"entries":`...)
		dst = append(appendEntries(dst, r.Entries), '}')
	}
	return append(dst, "]}"...), nil
}

// AppendPullAnswer appends the answer as JSON with its entries byte for byte.
func AppendPullAnswer(dst []byte, a PullAnswer) ([]byte, error) {
	entries := a.Entries
	a.Entries = nil
	dst, err := appendOpen(dst, a)
	if err != nil {
		return nil, err
	}
	dst = append(dst, `,"entries":`...)
	return append(appendEntries(dst, entries), '}'), nil
}

// appendOpen appends a struct as JSON without its closing brace.
func appendOpen(dst []byte, v any) ([]byte, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	return append(dst, b[:len(b)-1]...), nil
}

func appendValue(dst []byte, v any) ([]byte, error) {
	b, err := json.Marshal(v)
	return append(dst, b...), err
}

func appendEntries(dst []byte, entries []json.RawMessage) []byte {
	dst = append(dst, '[')
	for i, e := range entries {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = append(dst, e...)
	}
	return append(dst, ']')
}
