package certs

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"fmt"
)

// Profile is the configuration profile with which an iPad installs the authority:
// a property list with one payload of type com.apple.security.root. The same
// authority makes the same profile, so that installing it again replaces it.
func (a *Authority) Profile() []byte {
	sum := sha256.Sum256(a.cert.Raw)
	id := func(b []byte) string { return fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:16]) }
	title := escaped("Tubewright shop " + a.Name())
	own := escaped(a.cert.Subject.CommonName)
	return fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
	<key>PayloadContent</key>
	<array>
		<dict>
			<key>PayloadCertificateFileName</key><string>tubewright-shop.crt</string>
			<key>PayloadContent</key><data>%s</data>
			<key>PayloadDescription</key><string>Lets this tablet trust the shop machine %s.</string>
			<key>PayloadDisplayName</key><string>%s</string>
			<key>PayloadIdentifier</key><string>tubewright.shop.%s.authority</string>
			<key>PayloadType</key><string>com.apple.security.root</string>
			<key>PayloadUUID</key><string>%s</string>
			<key>PayloadVersion</key><integer>1</integer>
		</dict>
	</array>
	<key>PayloadDescription</key><string>Lets this tablet trust the shop machine %s, and no other.</string>
	<key>PayloadDisplayName</key><string>%s</string>
	<key>PayloadIdentifier</key><string>tubewright.shop.%s</string>
	<key>PayloadRemovalDisallowed</key><false/>
	<key>PayloadType</key><string>Configuration</string>
	<key>PayloadUUID</key><string>%s</string>
	<key>PayloadVersion</key><integer>1</integer>
</dict>
</plist>
`, base64.StdEncoding.EncodeToString(a.cert.Raw), escaped(a.Name()), own, id(sum[:16]), id(sum[:16]),
		escaped(a.Name()), title, id(sum[16:]), id(sum[16:]))
}

func escaped(s string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		panic("certs: bug: " + err.Error()) // a buffer takes everything
	}
	return b.String()
}
