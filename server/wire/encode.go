package wire

import (
	"encoding/json"
	"strconv"
)

// AppendPush appends the push as JSON with its entries byte for byte;
// json.Marshal would take white space out of them and break their chain, and
// the phone has no room for it.
func AppendPush(dst []byte, p Push) []byte {
	dst = appendText(append(dst, `{"device":`...), p.Device)
	dst = appendText(append(dst, `,"app":`...), p.App)
	dst = strconv.AppendInt(append(dst, `,"schema":`...), int64(p.Schema), 10)
	dst = appendText(append(dst, `,"epoch":`...), p.Epoch)
	dst = strconv.AppendInt(append(dst, `,"now_ms":`...), p.NowMS, 10)
	if len(p.Runs) == 0 {
		return append(dst, '}')
	}
	dst = append(dst, `,"runs":[`...)
	for i, r := range p.Runs {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = appendText(append(dst, `{"device":`...), r.Device)
		dst = strconv.AppendUint(append(dst, `,"from":`...), r.From, 10)
		dst = appendText(append(dst, `,"before":`...), r.Before)
		dst = append(appendEntries(dst, r.Entries), '}')
	}
	return append(dst, "]}"...)
}

// AppendPullAnswer appends the answer as JSON with its entries byte for byte.
func AppendPullAnswer(dst []byte, a PullAnswer) []byte {
	dst = appendText(append(dst, `{"epoch":`...), a.Epoch)
	if a.Reset {
		dst = append(dst, `,"reset":true`...)
	}
	dst = strconv.AppendUint(append(dst, `,"next":`...), a.Next, 10)
	if a.Mark != "" {
		dst = appendText(append(dst, `,"mark":`...), a.Mark)
	}
	dst = strconv.AppendBool(append(dst, `,"more":`...), a.More)
	dst = strconv.AppendInt(append(dst, `,"server_ms":`...), a.ServerMS, 10)
	return append(appendEntries(dst, a.Entries), '}')
}

func appendEntries(dst []byte, entries []json.RawMessage) []byte {
	dst = append(dst, `,"entries":[`...)
	for i, e := range entries {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = append(dst, e...)
	}
	return append(dst, ']')
}
