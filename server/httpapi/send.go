package httpapi

import (
	"log"
	"net/http"
	"strconv"
	"strings"

	"portwright/server"
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
		if takesBrotli(r.Header.Get("Accept-Encoding")) {
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

// takesBrotli reads an Accept-Encoding (RFC 9110, 12.5.3): br is named and its
// weight is not zero. A bare "*" is not taken for a yes.
func takesBrotli(accept string) bool {
	for one := range strings.SplitSeq(accept, ",") {
		name, params, _ := strings.Cut(one, ";")
		if !strings.EqualFold(strings.TrimSpace(name), "br") {
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

// statuses of the server's error codes.
var statuses = map[server.Code]int{
	server.NotFound:  http.StatusNotFound,
	server.WrongHost: http.StatusMisdirectedRequest,
	server.NotAsked:  http.StatusMethodNotAllowed,
	server.Internal:  http.StatusInternalServerError,
}

// refuse answers with an error in plain words.
func refuse(w http.ResponseWriter, r *http.Request, err error) {
	code := server.CodeOf(err)
	if code == server.Internal {
		log.Printf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	h := w.Header()
	h.Set("Content-Type", kinds[".txt"])
	h.Set("Cache-Control", cacheNever)
	text := server.MessageOf(err) + "\n"
	h.Set("Content-Length", strconv.Itoa(len(text)))
	w.WriteHeader(statuses[code])
	if r.Method != http.MethodHead {
		_, _ = w.Write([]byte(text))
	}
}
