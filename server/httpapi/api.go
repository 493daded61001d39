package httpapi

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"github.com/gorilla/mux"

	"portwright/server"
	"portwright/server/wire"
)

// apiBase is where the interface lies (server/PROTOCOL.md).
const apiBase = "/api/"

// maxBody of a request after decompression: the entries of a batch and what
// stands round them.
const maxBody = wire.MaxBatchBytes + 128<<10

// atOnce bounds the bodies that are held at one time.
const atOnce = 8

// Keeper is what the interface asks.
type Keeper interface {
	Push(wire.Push) (wire.PushAnswer, error)
	Pull(epoch string, cursor uint64, mark string, limit int) (wire.PullAnswer, error)
	Have() wire.HaveAnswer
}

type api struct {
	keeper Keeper
	cross  *http.CrossOriginProtection
	turns  chan struct{}
}

// addAPI gives the interface its addresses.
func addAPI(r *mux.Router, c Config) error {
	a := &api{keeper: c.Keeper, cross: http.NewCrossOriginProtection(), turns: make(chan struct{}, atOnce)}
	for _, origin := range c.Origins {
		if err := a.cross.AddTrustedOrigin(origin); err != nil {
			return fmt.Errorf("origin %q: %w (want scheme, host and port, for example https://192.168.1.7:8443)", origin, err)
		}
	}
	if c.Keeper == nil {
		return nil
	}
	for _, route := range []struct {
		path, method string
		answer       func(http.ResponseWriter, *http.Request) error
	}{
		{"v1/push", http.MethodPost, a.push},
		{"v1/pull", http.MethodGet, a.pull},
		{"v1/have", http.MethodGet, a.have},
	} {
		r.HandleFunc(apiBase+route.path, func(w http.ResponseWriter, r *http.Request) {
			err := methodIs(w, r, route.method)
			if err == nil && a.cross.Check(r) != nil {
				err = &server.Error{Code: server.CrossSite, Message: "A page of another site asked. Only Portwright's own pages may."}
			}
			if err == nil {
				err = route.answer(w, r)
			}
			if err != nil {
				refuse(w, r, err)
			}
		})
	}
	return nil
}

func methodIs(w http.ResponseWriter, r *http.Request, method string) error {
	if r.Method == method {
		return nil
	}
	w.Header().Set("Allow", method)
	return &server.Error{Code: server.NotAsked, Message: fmt.Sprintf("%.20s has no meaning here; %s has.", r.Method, method)}
}

func (a *api) push(w http.ResponseWriter, r *http.Request) error {
	select {
	case a.turns <- struct{}{}:
		defer func() { <-a.turns }()
	case <-r.Context().Done():
		return r.Context().Err()
	}
	body, err := readBody(w, r)
	if err != nil {
		return err
	}
	p, err := decodePush(body)
	if err != nil {
		return err
	}
	answer, err := a.keeper.Push(p)
	if err != nil {
		return err
	}
	b, err := json.Marshal(answer)
	if err != nil {
		return err
	}
	sendJSON(w, r, http.StatusOK, b)
	return nil
}

// readBody returns the body of a request, decompressed and bounded.
func readBody(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	kind, params, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if charset := params["charset"]; err != nil || kind != "application/json" || charset != "" && !strings.EqualFold(charset, "utf-8") {
		return nil, &server.Error{Code: server.WrongType, Field: "Content-Type", Message: fmt.Sprintf("Content-Type: is %.60q; it must be application/json.", r.Header.Get("Content-Type"))}
	}
	var in io.Reader = http.MaxBytesReader(w, r.Body, maxBody)
	switch coding := strings.ToLower(r.Header.Get("Content-Encoding")); coding {
	case "", "identity":
	case "gzip":
		unpacked, err := gzip.NewReader(in)
		if err != nil {
			return nil, badBody(err)
		}
		in = unpacked
	default:
		return nil, &server.Error{Code: server.WrongType, Field: "Content-Encoding", Message: fmt.Sprintf("Content-Encoding: is %.60q; it may be gzip.", coding)}
	}
	body, err := io.ReadAll(io.LimitReader(in, maxBody+1))
	if err != nil {
		return nil, badBody(err)
	}
	if len(body) > maxBody {
		return nil, tooLarge()
	}
	return body, nil
}

func tooLarge() error {
	return &server.Error{Code: server.TooLarge, Message: fmt.Sprintf("The request is larger than %d bytes after decompression. Send fewer entries at once.", maxBody)}
}

// badBody says what was wrong with a body that could not be read.
func badBody(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return tooLarge()
	}
	return &server.Error{Code: server.BadAsk, Message: "The request was cut short or its compression is damaged. Send it again."}
}

// decodePush reads a push. Fields that are not known are of a newer phone and
// are left alone.
func decodePush(body []byte) (wire.Push, error) {
	var p wire.Push
	err := json.Unmarshal(body, &p)
	if err == nil {
		return p, nil
	}
	var field string
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		field = kind.Field
		return p, &server.Error{Code: server.BadAsk, Field: field, Message: fmt.Sprintf("%s: is a JSON %s; it must be a %s.", field, kind.Value, kind.Type.Kind())}
	}
	return p, &server.Error{Code: server.BadAsk, Message: "The request is not JSON. It may have been cut short; send it again."}
}

func (a *api) pull(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	cursor, err := number(q.Get("cursor"), "cursor", 0, 64)
	if err != nil {
		return err
	}
	limit, err := number(q.Get("limit"), "limit", wire.MaxEntries, 31)
	if err != nil {
		return err
	}
	answer, err := a.keeper.Pull(q.Get("epoch"), cursor, q.Get("mark"), int(limit))
	if err != nil {
		return err
	}
	b, err := wire.AppendPullAnswer(nil, answer)
	if err != nil {
		return err
	}
	sendJSON(w, r, http.StatusOK, b)
	return nil
}

// number reads a number of a question; absent when it is not given.
func number(text, field string, absent uint64, bits int) (uint64, error) {
	if text == "" {
		return absent, nil
	}
	n, err := strconv.ParseUint(text, 10, bits)
	if err != nil {
		return 0, &server.Error{Code: server.BadAsk, Field: field, Message: fmt.Sprintf("%s: is %.40q; it must be a whole number.", field, text)}
	}
	return n, nil
}

func (a *api) have(w http.ResponseWriter, r *http.Request) error {
	b, err := json.Marshal(a.keeper.Have())
	if err != nil {
		return err
	}
	sendJSON(w, r, http.StatusOK, b)
	return nil
}

// worthPacking is the size from which an answer is compressed.
const worthPacking = 1 << 10

// sendJSON answers with JSON, compressed when the reader takes that.
func sendJSON(w http.ResponseWriter, r *http.Request, status int, b []byte) {
	h := w.Header()
	h.Set("Content-Type", kinds[".json"])
	h.Set("Cache-Control", cacheNever)
	h.Set("Vary", "Accept-Encoding, Origin")
	if len(b) >= worthPacking && takes("gzip", r.Header.Get("Accept-Encoding")) {
		var packed bytes.Buffer
		z, _ := gzip.NewWriterLevel(&packed, gzip.BestSpeed) // the level is a valid one
		if _, err := z.Write(b); err == nil && z.Close() == nil {
			b = packed.Bytes()
			h.Set("Content-Encoding", "gzip")
		}
	}
	h.Set("Content-Length", strconv.Itoa(len(b)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = w.Write(b) // a reader that went away is no fault of ours
	}
}
