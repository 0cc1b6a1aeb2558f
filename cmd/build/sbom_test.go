package main

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"
)

var (
	testParts = []part{
		{kind: npmPackage, name: "@scope/thing", version: "2.0.1", licence: "MIT", where: "app", sum: strings.Repeat("ab", 64)},
		{kind: npmPackage, name: "plain", version: "1.0.0", licence: "ISC", where: "app", sum: strings.Repeat("cd", 64)},
		{kind: goModule, name: "example.test/Own/mod", version: "v1.2.3", licence: "BSD-2-Clause", where: "program", sum: "h1:abc="},
		{kind: goStandard, name: "std", version: "1.27.3", licence: "BSD-3-Clause", where: "program, calculation, app"},
	}
	testPrograms = []program{{"tubewright-linux-amd64", strings.Repeat("0f", 32)}}
)

// The rules checked here are those of the CycloneDX 1.6 JSON schema for what we fill
// in, from memory.
func TestBillOfMaterialsIsCycloneDX(t *testing.T) {
	got, err := sbom("v1.0.0", time.Date(2026, 3, 1, 11, 0, 0, 0, time.UTC), testParts, testPrograms)
	if err != nil {
		t.Fatal(err)
	}
	var b bill
	strict := json.NewDecoder(bytes.NewReader(got))
	strict.DisallowUnknownFields()
	if err := strict.Decode(&b); err != nil {
		t.Fatal(err)
	}
	if b.Format != "CycloneDX" || b.Spec != "1.6" || b.Version != 1 {
		t.Errorf("head %q %q %d", b.Format, b.Spec, b.Version)
	}
	if !regexp.MustCompile(`^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`).MatchString(b.Serial) {
		t.Errorf("serial number %q", b.Serial)
	}
	if b.Metadata.Timestamp != "2026-03-01T11:00:00Z" || b.Metadata.Component.Version != "v1.0.0" {
		t.Errorf("metadata %+v", b.Metadata)
	}
	refs := map[string]component{"tubewright": b.Metadata.Component}
	for _, c := range b.Components {
		if _, twice := refs[c.Ref]; twice || c.Name == "" {
			t.Errorf("%q comes twice, or without a name", c.Ref)
		}
		refs[c.Ref] = c
		for _, h := range c.Hashes {
			if digits := map[string]int{"SHA-256": 64, "SHA-512": 128}[h.Alg]; len(h.Content) != digits {
				t.Errorf("%s: %s of %d digits", c.Ref, h.Alg, len(h.Content))
			}
		}
	}
	// Escapes by the package-url specification: a scope's @ is %40.
	for _, want := range []string{
		"pkg:npm/%40scope/thing@2.0.1", "pkg:npm/plain@1.0.0", "pkg:golang/example.test/own/mod@v1.2.3", "pkg:golang/std@1.27.3", "file:tubewright-linux-amd64",
	} {
		if _, there := refs[want]; !there {
			t.Errorf("%s is missing", want)
		}
	}
	if c := refs["pkg:npm/%40scope/thing@2.0.1"]; c.Group != "@scope" || c.Name != "thing" || c.Licences[0].Licence.ID != "MIT" {
		t.Errorf("the scoped package is %+v", c)
	}
	if n := len(b.Dependencies[0].DependsOn); n != len(testParts) {
		t.Errorf("it depends on %d, want %d", n, len(testParts))
	}
	for _, ref := range b.Dependencies[0].DependsOn {
		if _, there := refs[ref]; !there {
			t.Errorf("it depends on %s, which is not listed", ref)
		}
	}
}

func TestBillOfTheSameReleaseIsTheSame(t *testing.T) {
	first, err := sbom("v1.0.0", time.Time{}, testParts, testPrograms)
	if err != nil {
		t.Fatal(err)
	}
	turned := []part{testParts[3], testParts[2], testParts[1], testParts[0]}
	again, err := sbom("v1.0.0", time.Time{}, turned, testPrograms)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, again) {
		t.Error("the order in which parts are found changes the bytes")
	}
	other, err := sbom("v1.0.1", time.Time{}, testParts, testPrograms)
	if err != nil {
		t.Fatal(err)
	}
	serial := regexp.MustCompile(`urn:uuid:\S+`)
	if bytes.Equal(serial.Find(first), serial.Find(other)) {
		t.Error("two releases have one serial number")
	}
	if bytes.Contains(first, []byte("timestamp")) {
		t.Error("a release without a commit has a time")
	}
}

func TestPartWithoutAPlaceIsNotListedWrongly(t *testing.T) {
	if _, err := sbom("v1.0.0", time.Time{}, []part{{name: "found somewhere"}}, nil); err == nil {
		t.Error("a part of no kind was listed")
	}
}
