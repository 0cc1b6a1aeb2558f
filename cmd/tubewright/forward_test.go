package main

import (
	"fmt"
	"io"
	"net"
	"strings"
)

// What the program of the tests reads when it is started by itself.
const (
	productEnv = "TUBEWRIGHT_TEST_PRODUCT" // the folder of the program and the app, built already
	forwardEnv = "TUBEWRIGHT_TEST_FORWARD" // "FROM TO": be a forwarder between two addresses
)

// pass forwards what comes in on l. Its own sockets ask for no signs of life, since
// a tablet's and a server's ask for none either that would be noticed so soon.
func pass(l net.Listener, to string) {
	for {
		c, err := l.Accept()
		if err != nil {
			return
		}
		go func() {
			defer c.Close()
			quiet := net.Dialer{KeepAlive: -1}
			d, err := quiet.Dial("tcp", to)
			if err != nil {
				return
			}
			defer d.Close()
			ended := make(chan bool, 2)
			go func() { io.Copy(c, d); ended <- true }()
			go func() { io.Copy(d, c); ended <- true }()
			<-ended
		}()
	}
}

// forwarder is what the program of the tests is while forwardEnv is set.
func forwarder(said string) error {
	from, to, _ := strings.Cut(said, " ")
	l, err := net.Listen("tcp", from)
	if err != nil {
		return err
	}
	fmt.Println("listening")
	pass(l, to)
	return nil
}
