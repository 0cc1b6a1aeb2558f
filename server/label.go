package server

import (
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"

	"rsc.io/qr"

	"tubewright/calc/draw/sheet"
)

// pieceLink returns the addresses under which a tablet opens the pieces of a job: those
// by which the sheet itself was asked for, so that a tablet that reaches the shop there
// does so again. From the shop machine's own browser there is none: its localhost leads
// nowhere on a tablet.
func pieceLink(r *http.Request, job string) func(piece string) string {
	host := r.Host
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	if ip := net.ParseIP(strings.Trim(host, "[]")); host == "" || strings.EqualFold(host, "localhost") || ip != nil && ip.IsLoopback() {
		return nil
	}
	base := scheme(r, "http") + "://" + r.Host + "/#/piece?job=" + url.QueryEscape(job) + "&id="
	return func(piece string) string { return base + url.QueryEscape(piece) }
}

// labelCode makes the squares of a QR code, of the level that codes of the shop have.
func labelCode(text string) (sheet.Code, error) {
	made, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil, fmt.Errorf("make a code of %.80q: %w", text, err)
	}
	code := make(sheet.Code, made.Size)
	for y := range code {
		code[y] = make([]bool, made.Size)
		for x := range code[y] {
			code[y][x] = made.Black(x, y)
		}
	}
	return code, nil
}
