package shop

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"net/http"
	"strconv"
)

//go:embed html css
var files embed.FS

// style is the one style sheet of these pages, and what names it in their policy:
// it stands in the page, so that the trust page needs no second address.
var style, styleSource = func() (template.HTML, string) {
	var css []byte
	for _, name := range []string{"css/tokens.css", "css/page.css"} {
		b, err := files.ReadFile(name)
		if err != nil {
			panic("shop: bug: " + err.Error())
		}
		css = append(css, b...)
	}
	sum := sha256.Sum256(css)
	return template.HTML("<style>" + string(css) + "</style>"), "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}()

// parse reads the templates of a page; what it shows of them comes from its own file.
func parse(names ...string) *template.Template {
	t := template.New("").Funcs(template.FuncMap{"style": func() template.HTML { return style }, "code": svgCode})
	for _, name := range names {
		template.Must(t.ParseFS(files, "html/"+name))
	}
	return t
}

// show answers with a page. forms is what the policy says of where its forms may go.
func show(w http.ResponseWriter, status int, t *template.Template, name string, view any, forms string) {
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, name, view); err != nil {
		http.Error(w, "the page could not be made: "+err.Error(), http.StatusInternalServerError)
		return
	}
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; style-src "+styleSource+"; form-action "+forms+"; base-uri 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	// Not no-referrer: with that, browsers send "null" as the Origin of a form (Fetch, "append a request Origin header").
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Length", strconv.Itoa(b.Len()))
	w.WriteHeader(status)
	w.Write(b.Bytes())
}
