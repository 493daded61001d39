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
	"slices"
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
	keeper  Keeper
	access  Access
	here    bool
	names   func() Names
	cross   *http.CrossOriginProtection
	devices *buckets
	turns   chan struct{}
}

func newAPI(c Config) *api {
	return &api{
		keeper: c.Keeper, access: c.Access, here: c.Here, names: c.names,
		cross: http.NewCrossOriginProtection(), devices: newBuckets(deviceRate, deviceBurst), turns: make(chan struct{}, atOnce),
	}
}

// addAPI gives the interface its addresses.
func addAPI(r *mux.Router, c Config) {
	a := newAPI(c)
	a.route(r, "v1/push", http.MethodPost, a.known(a.push))
	a.route(r, "v1/pull", http.MethodGet, a.known(a.pull))
	a.route(r, "v1/have", http.MethodGet, a.known(a.have))
	if c.Access != nil {
		a.route(r, "v1/pair", http.MethodPost, a.pair)
	}
}

// route gives one question its address.
func (a *api) route(r *mux.Router, path, method string, answer func(http.ResponseWriter, *http.Request) error) {
	r.HandleFunc(apiBase+path, func(w http.ResponseWriter, r *http.Request) {
		err := methodIs(w, r, method)
		if err == nil {
			err = a.sameSite(r)
		}
		if err == nil {
			err = answer(w, r)
		}
		if err != nil {
			refuse(w, r, err)
		}
	})
}

// sameSite refuses what a page of another site sends. The app's own pages at
// another of this machine's addresses are no other site.
func (a *api) sameSite(r *http.Request) error {
	if slices.Contains(a.names().Origins, r.Header.Get("Origin")) || a.cross.Check(r) == nil {
		return nil
	}
	return &server.Error{Code: server.CrossSite, Message: "A page of another site asked. Only Portwright's own pages may."}
}

func methodIs(w http.ResponseWriter, r *http.Request, method string) error {
	if r.Method == method {
		return nil
	}
	w.Header().Set("Allow", method)
	return &server.Error{Code: server.NotAsked, Message: fmt.Sprintf("%.20s has no meaning here; %s has.", r.Method, method)}
}

func (a *api) push(w http.ResponseWriter, r *http.Request, device string) error {
	select { // few large bodies are held at one time
	case a.turns <- struct{}{}:
		defer func() { <-a.turns }()
	case <-r.Context().Done():
		return r.Context().Err()
	}
	var p wire.Push
	if err := readJSON(w, r, maxBody, &p); err != nil {
		return err
	}
	var answer wire.PushAnswer
	var err error
	if device == "" {
		answer, err = a.keeper.Push(p)
	} else {
		answer, err = a.access.Push(device, p, a.keeper.Push)
	}
	if err != nil {
		return err
	}
	answer.Places = a.places()
	return sendValue(w, r, answer)
}

// places are the addresses under which a phone may ask too. A page may not ask
// those of IPv6, which its policy can't name.
func (a *api) places() string {
	named := slices.DeleteFunc(slices.Clone(a.names().Origins), func(o string) bool { return strings.Contains(o, "[") })
	return strings.Join(named, " ")
}

// readJSON reads the body of a request into a value.
func readJSON(w http.ResponseWriter, r *http.Request, limit int64, to any) error {
	body, err := readBody(w, r, limit)
	if err != nil {
		return err
	}
	return decode(body, to)
}

func sendValue(w http.ResponseWriter, r *http.Request, v any) error {
	b, err := json.Marshal(v)
	if err == nil {
		sendJSON(w, r, http.StatusOK, b)
	}
	return err
}

// readBody returns the body of a request, decompressed and bounded.
func readBody(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, error) {
	kind, params, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if charset := params["charset"]; err != nil || kind != "application/json" || charset != "" && !strings.EqualFold(charset, "utf-8") {
		return nil, &server.Error{Code: server.WrongType, Field: "Content-Type", Message: fmt.Sprintf("Content-Type: is %.60q; it must be application/json.", r.Header.Get("Content-Type"))}
	}
	if r.ContentLength > limit { // said before any of it is read
		w.Header().Set("Connection", "close")
		return nil, tooLarge(limit)
	}
	var in io.Reader = http.MaxBytesReader(w, r.Body, limit)
	switch coding := strings.ToLower(r.Header.Get("Content-Encoding")); coding {
	case "", "identity":
	case "gzip":
		unpacked, err := gzip.NewReader(in)
		if err != nil {
			return nil, badBody(err, limit)
		}
		in = unpacked
	default:
		return nil, &server.Error{Code: server.WrongType, Field: "Content-Encoding", Message: fmt.Sprintf("Content-Encoding: is %.60q; it may be gzip.", coding)}
	}
	body, err := io.ReadAll(io.LimitReader(in, limit+1))
	if err != nil {
		return nil, badBody(err, limit)
	}
	if int64(len(body)) > limit {
		return nil, tooLarge(limit)
	}
	return body, nil
}

func tooLarge(limit int64) error {
	return &server.Error{Code: server.TooLarge, Message: fmt.Sprintf("The request is larger than %d bytes after decompression. Send less at once.", limit)}
}

// badBody says what was wrong with a body that could not be read.
func badBody(err error, limit int64) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return tooLarge(limit)
	}
	return &server.Error{Code: server.BadAsk, Message: "The request was cut short or its compression is damaged. Send it again."}
}

// decode reads a question. Fields that are not known are of a newer phone and
// are left alone.
func decode(body []byte, to any) error {
	err := json.Unmarshal(body, to)
	if err == nil {
		return nil
	}
	var field string
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		field = kind.Field
		return &server.Error{Code: server.BadAsk, Field: field, Message: fmt.Sprintf("%s: is a JSON %s; it must be a %s.", field, kind.Value, kind.Type.Kind())}
	}
	return &server.Error{Code: server.BadAsk, Message: "The request is not JSON. It may have been cut short; send it again."}
}

func (a *api) pull(w http.ResponseWriter, r *http.Request, _ string) error {
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
	sendJSON(w, r, http.StatusOK, wire.AppendPullAnswer(nil, answer))
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

func (a *api) have(w http.ResponseWriter, r *http.Request, _ string) error {
	return sendValue(w, r, a.keeper.Have())
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
