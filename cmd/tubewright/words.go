package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"syscall"
)

// tellStart prints what to do next: one screen, the warnings last, where the eye is.
func tellStart(w io.Writer, shopURL string, n *network, data, backups string, onOneDisk bool, warnings []string) {
	fmt.Fprintf(w, "The shop machine runs. It stops when this window is closed (Ctrl-C).\n\n")
	fmt.Fprintf(w, "1  On this machine, open        %sshop\n   It shows codes to scan, lets tablets in and lists them.\n", shopURL)
	links := n.trustLinks()
	switch {
	case len(links) > 0:
		fmt.Fprintf(w, "2  On each tablet, open         %s\n   in the shop's Wi-Fi, and do what stands there: the tablet learns to trust\n   this machine.\n", links[0])
		if len(links) > 1 {
			fmt.Fprintf(w, "   If that does not open: %s\n", strings.Join(links[1:], " "))
		}
		fmt.Fprint(w, "3  Then, on the tablet, open    ")
	case n.trust != nil:
		fmt.Fprint(w, "2  This machine has no address in a shop's network yet. Join the network; the page\n   of step 1 then says what tablets are to open.\n3  Then, on the tablet, open    ")
	default:
		fmt.Fprint(w, "2  On each tablet, open         ")
	}
	fmt.Fprintf(w, "%s/\n   put it on the home screen, open it from there, and type a code from step 1.\n\n", n.origin)
	if n.authority != nil {
		pairs := strings.Split(n.authority.Fingerprint(), ":")
		fmt.Fprintf(w, "Fingerprint   %s\n              %s\n              Compare it with what the tablet's settings show.\n",
			strings.Join(pairs[:len(pairs)/2], " "), strings.Join(pairs[len(pairs)/2:], " "))
	}
	fmt.Fprintf(w, "App here      %s\nWall here     %swall\nData          %s\nBackups       %s\n", shopURL, shopURL, absolute(data), absolute(backups))
	if onOneDisk {
		warnings = append(warnings, "The backups lie on the same disk as the data: they help against a mistake, not against a dead disk. serve -backups DIR puts them on another one.")
	}
	for _, s := range warnings {
		fmt.Fprintf(w, "\n%s\n", alarm(s))
	}
}

// wsaInUse is what Windows says of an address that another program has (WSAEADDRINUSE).
const wsaInUse = syscall.Errno(10048)

// taken asks whether this program runs already where an address cannot be had.
func taken(err error) error {
	if errors.Is(err, syscall.EADDRINUSE) || errors.Is(err, wsaInUse) {
		return fmt.Errorf("%w; is Tubewright running already?", err)
	}
	return err
}

// count says how many there are of something.
func count(n int64, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

const lineLength = 80

// alarm sets a sentence so that it is not passed over.
func alarm(text string) string {
	var b strings.Builder
	length := 0
	for i, word := range strings.Fields(text) {
		if i == 0 || length+1+len(word) > lineLength {
			if i > 0 {
				b.WriteByte('\n')
			}
			b.WriteString("!!")
			length = 2
		}
		b.WriteString(" " + word)
		length += 1 + len(word)
	}
	return b.String()
}
