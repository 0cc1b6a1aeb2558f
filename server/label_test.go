package server

import (
	"net/http/httptest"
	"testing"

	"rsc.io/qr/coding"
)

// A label leads to the address by which the sheet was asked for, unless that is one
// which only the shop machine itself has.
func TestLabelsLeadToWhereTheSheetCameFrom(t *testing.T) {
	for host, want := range map[string]string{
		"shop.example:8443": "http://shop.example:8443/#/piece?job=j1&id=t1-2", "192.0.2.7": "http://192.0.2.7/#/piece?job=j1&id=t1-2", "[2001:db8::7]:80": "http://[2001:db8::7]:80/#/piece?job=j1&id=t1-2",
		"localhost:8080": "", "127.0.0.1:8080": "", "[::1]:80": "", "[::1]": "", "LocalHost": "",
	} {
		r := httptest.NewRequest("GET", "/api/jobs/j1/sheets/labels-t1.pdf", nil)
		r.Host = host
		got := ""
		if link := pieceLink(r, "j1"); link != nil {
			got = link("t1-2")
		}
		if got != want {
			t.Errorf("%s: %q, want %q", host, got, want)
		}
	}
}

// The squares are those of the code: its three corners stand where every code has them
// (ISO/IEC 18004, from memory), and its size is one that there is.
func TestLabelCodeIsOne(t *testing.T) {
	code, err := labelCode("https://shop.example:8443/#/piece?job=j-k3f9q2&id=t1-2")
	if err != nil {
		t.Fatal(err)
	}
	n := len(code)
	if n < 21 || (n-17)%4 != 0 || n != 17+4*int(coding.Version((n-17)/4)) {
		t.Fatalf("%d squares wide", n)
	}
	for _, at := range [][2]int{{0, 0}, {n - 7, 0}, {0, n - 7}} {
		for i := range 7 {
			for _, p := range [][2]int{{i, 0}, {i, 6}, {0, i}, {6, i}} {
				if !code[at[1]+p[1]][at[0]+p[0]] {
					t.Errorf("the corner at %v is white at %v", at, p)
				}
			}
		}
		if code[at[1]+1][at[0]+1] || !code[at[1]+3][at[0]+3] {
			t.Errorf("the corner at %v has no ring", at)
		}
	}
	if code[n-7][n-7] && code[n-7][n-1] && code[n-1][n-7] && code[n-1][n-1] && code[n-4][n-4] && !code[n-6][n-6] && !code[n-2][n-2] && !code[n-6][n-2] {
		t.Error("the fourth corner is one too")
	}
	if _, err := labelCode(string(make([]byte, 5000))); err == nil {
		t.Error("5000 signs fit in a code")
	}
}
