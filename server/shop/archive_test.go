package shop

import (
	"bytes"
	"mime/multipart"
	"net/http/httptest"
	"strings"
	"testing"
)

// send sends a file by a form, from a page of an origin.
func (c *counter) send(field, name, text, origin string) *httptest.ResponseRecorder {
	c.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	w, err := m.CreateFormFile(field, name)
	if err != nil {
		c.Fatal(err)
	}
	w.Write([]byte(text))
	m.Close()
	r := httptest.NewRequest("POST", own+"/shop/import", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header["Origin"] = []string{origin}
	got := httptest.NewRecorder()
	c.page.ServeHTTP(got, r)
	return got
}

func TestAnArchiveIsTakenIn(t *testing.T) {
	c := newCounter(t)
	says(t, c.send("archive", "yard.zip", "PK", own), 200, "yard.zip", "3 records new", "1 <b> wrong", "again changes nothing")
	if len(c.did) != 1 || c.did[0] != "import PK" {
		t.Errorf("it did %q", c.did)
	}
	c.did = nil
	says(t, c.send("archive", "yard.zip", "PK", "http://elsewhere.example"), 403, "another page")
	says(t, c.send("other", "yard.zip", "PK", own), 422, "Choose a file")
	says(t, c.send("archive", "", "", own), 422, "Choose a file")
	says(t, c.post("/shop/import", nil, own), 400, "cannot be read")
	if len(c.did) > 0 {
		t.Errorf("it did %q", c.did)
	}
	c.err = errDisk
	says(t, c.send("archive", "yard.zip", "PK", own), 422, "not taken in", "disk is full")
}

func TestEveryJobHasItsPack(t *testing.T) {
	c := newCounter(t)
	says(t, c.get("/shop"), 200, "None yet.", "Take it in")
	c.state.Jobs = []Job{{ID: "j-7c2m5a", Name: `Yard "car" <b>`, Stage: "weld"}, {ID: "j2"}}
	w := c.get("/shop")
	says(t, w, 200, `Yard "car" <b>`, "weld", "/api/jobs/j-7c2m5a/pack", "without a name", "customer’s name is in it")
	if strings.Contains(w.Body.String(), "car\" <b>") {
		t.Error("a job's name stands there as markup")
	}
}
