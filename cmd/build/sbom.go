package main

import (
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"
)

// sbomFile is the bill of materials of a release: CycloneDX 1.6 as JSON (ECMA-424).
const sbomFile = "tubewright.cdx.json"

// The parts of CycloneDX that we fill in.
type (
	bill struct {
		Schema       string       `json:"$schema"`
		Format       string       `json:"bomFormat"`
		Spec         string       `json:"specVersion"`
		Serial       string       `json:"serialNumber"`
		Version      int          `json:"version"`
		Metadata     billMeta     `json:"metadata"`
		Components   []component  `json:"components"`
		Dependencies []dependency `json:"dependencies"`
	}
	billMeta struct {
		Timestamp string    `json:"timestamp,omitempty"`
		Component component `json:"component"`
	}
	component struct {
		Type       string     `json:"type"`
		Ref        string     `json:"bom-ref"`
		Group      string     `json:"group,omitempty"`
		Name       string     `json:"name"`
		Version    string     `json:"version,omitempty"`
		Hashes     []hash     `json:"hashes,omitempty"`
		Licences   []licensed `json:"licenses,omitempty"`
		PURL       string     `json:"purl,omitempty"`
		Properties []property `json:"properties,omitempty"`
	}
	hash struct {
		Alg     string `json:"alg"`
		Content string `json:"content"` // hexadecimal digits
	}
	licensed struct {
		Licence licenceID `json:"license"`
	}
	licenceID struct {
		ID string `json:"id"` // of the SPDX list
	}
	property struct {
		Name  string `json:"name"`
		Value string `json:"value"`
	}
	dependency struct {
		Ref       string   `json:"ref"`
		DependsOn []string `json:"dependsOn"`
	}
)

// program is one built file of a release.
type program struct{ file, sha256 string }

// sbom returns the bill of materials of a release: every program with its sum, and
// every part of others with version, licence and where it is. The same release gives
// the same bytes; made is the time of its commit, or zero.
func sbom(version string, made time.Time, parts []part, programs []program) ([]byte, error) {
	b := bill{
		Schema: "http://cyclonedx.org/schema/bom-1.6.schema.json",
		Format: "CycloneDX", Spec: "1.6", Version: 1,
		Metadata: billMeta{Component: component{
			Type: "application", Ref: "tubewright", Name: "tubewright", Version: version, Licences: []licensed{{licenceID{"MIT"}}},
		}},
	}
	if !made.IsZero() {
		b.Metadata.Timestamp = made.UTC().Format(time.RFC3339)
	}
	all := dependency{Ref: "tubewright", DependsOn: []string{}}
	for _, p := range parts {
		c, err := p.component()
		if err != nil {
			return nil, err
		}
		b.Components = append(b.Components, c)
		all.DependsOn = append(all.DependsOn, c.Ref)
	}
	for _, p := range programs {
		b.Components = append(b.Components, component{
			Type: "file", Ref: "file:" + p.file, Name: p.file, Version: version, Hashes: []hash{{"SHA-256", p.sha256}},
		})
	}
	slices.SortFunc(b.Components, func(x, y component) int { return cmp.Compare(x.Ref, y.Ref) })
	slices.Sort(all.DependsOn)
	b.Dependencies = []dependency{all}

	plain, err := json.Marshal(b)
	if err != nil {
		return nil, fmt.Errorf("write the bill of materials: %w", err)
	}
	b.Serial = serial(plain)
	out, err := json.MarshalIndent(b, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the bill of materials: %w", err)
	}
	return append(out, '\n'), nil
}

// serial names a bill by its content: a UUID of version 8 (RFC 9562, section 5.8).
func serial(content []byte) string {
	u := sha256.Sum256(content)
	u[6] = u[6]&0x0f | 0x80
	u[8] = u[8]&0x3f | 0x80
	return fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:16])
}

// component is the part as the bill has it. Its package URL follows the purl
// specification: type, escaped name, version.
func (p part) component() (component, error) {
	c := component{
		Type: "library", Name: p.name, Version: p.version,
		Licences:   []licensed{{licenceID{p.licence}}},
		Properties: []property{{"tubewright:in", p.where}},
	}
	switch p.kind {
	case goModule, goStandard:
		c.PURL = "pkg:golang/" + strings.ToLower(p.name) + "@" + url.PathEscape(p.version)
		if p.sum != "" {
			c.Properties = append(c.Properties, property{"tubewright:go.sum", p.sum})
		}
	case npmPackage:
		name := p.name
		if scope, inner, scoped := strings.Cut(name, "/"); scoped {
			c.Group, c.Name = scope, inner
			name = strings.Replace(name, "@", "%40", 1)
		}
		c.PURL = "pkg:npm/" + name + "@" + url.PathEscape(p.version)
		c.Hashes = []hash{{"SHA-512", p.sum}}
	default:
		return component{}, fmt.Errorf("part %s: kind %d has no package URL", p.name, p.kind)
	}
	c.Ref = c.PURL
	return c, nil
}
