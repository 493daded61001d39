package httpapi

import (
	"encoding/json"
	"errors"
	"log"
	"net/http"
	"strconv"
	"strings"

	"portwright/server"
	"portwright/server/wire"
)

// How long a browser may keep an answer.
const (
	cacheForEver = "public, max-age=31536000, immutable" // the address is made of the contents
	cacheAsk     = "no-cache"                            // asks each time whether it is current
	cacheNever   = "no-store"
)

// send answers with an asset, compressed when the browser takes that.
func send(w http.ResponseWriter, r *http.Request, a *asset, cache string) {
	h := w.Header()
	h.Set("Content-Type", a.kind)
	h.Set("Cache-Control", cache)
	body, tag := a.plain, `"`+a.etag+`"`
	if a.small != nil {
		h.Set("Vary", "Accept-Encoding")
		if takes("br", r.Header.Get("Accept-Encoding")) {
			h.Set("Content-Encoding", "br")
			body, tag = a.small, `"`+a.etag+`-br"`
		}
	}
	h.Set("ETag", tag)
	if matches(r.Header.Get("If-None-Match"), tag) {
		h.Del("Content-Type")
		h.Del("Content-Encoding")
		w.WriteHeader(http.StatusNotModified)
		return
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(http.StatusOK)
	if r.Method != http.MethodHead {
		_, _ = w.Write(body) // a reader that went away is no fault of ours
	}
}

// takes reads an Accept-Encoding (RFC 9110, 12.5.3): the coding is named and
// its weight is not zero. A bare "*" is not taken for a yes.
func takes(coding, accept string) bool {
	for one := range strings.SplitSeq(accept, ",") {
		name, params, _ := strings.Cut(one, ";")
		if !strings.EqualFold(strings.TrimSpace(name), coding) {
			continue
		}
		params = strings.ToLower(strings.ReplaceAll(params, " ", ""))
		weight, given := strings.CutPrefix(params, "q=")
		if !given {
			return true
		}
		q, err := strconv.ParseFloat(weight, 64)
		return err == nil && q > 0
	}
	return false
}

// matches reads an If-None-Match (RFC 9110, 13.1.2), which compares weakly.
func matches(header, tag string) bool {
	for one := range strings.SplitSeq(header, ",") {
		one = strings.TrimPrefix(strings.TrimSpace(one), "W/")
		if one == "*" || one == tag {
			return true
		}
	}
	return false
}

// refuse answers with an error in plain words: in JSON below the interface's
// address, as text elsewhere. What is for the log alone goes there.
func refuse(w http.ResponseWriter, r *http.Request, err error) {
	code := server.CodeOf(err)
	var own *server.Error
	if code == server.Internal || errors.As(err, &own) && own.Err != nil {
		log.Printf("%.20q %.100q: %v", r.Method, r.URL.Path, err)
	}
	status := wire.Status(string(code))
	if strings.HasPrefix(r.URL.Path, apiBase) {
		b, failed := json.Marshal(wire.Error{Code: string(code), Message: server.MessageOf(err), Field: server.FieldOf(err)})
		if failed == nil {
			sendJSON(w, r, status, b)
			return
		}
	}
	h := w.Header()
	h.Set("Content-Type", kinds[".txt"])
	h.Set("Cache-Control", cacheNever)
	text := server.MessageOf(err) + "\n"
	h.Set("Content-Length", strconv.Itoa(len(text)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = w.Write([]byte(text))
	}
}
