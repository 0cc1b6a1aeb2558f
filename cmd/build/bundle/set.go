package bundle

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// Set is the list of everything that belongs to one build, kept as set.json. The
// service worker stores all of it or nothing.
type Set struct {
	Build string `json:"build"` // twelve hex digits over names and bytes of all files
	Files []File `json:"files"` // by name; not set.json and not sw.js, which carries the list
}

// File is one built file. The sum and the size are of its unpacked bytes.
type File struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Size   int    `json:"size"`
	Later  bool   `json:"later,omitempty"` // no page needs it before a person asks for it
}

// seal works out the build, puts it into the pages, and adds the service worker with
// the list of files, and set.json.
func seal(root string, files map[string][]byte, later map[string]bool) (Set, error) {
	pwa, err := filepath.Abs(filepath.Join(root, "pwa"))
	if err != nil {
		return Set{}, fmt.Errorf("find pwa: %w", err)
	}
	// The worker's own code counts, so a build of it with an empty list is summed
	// first; the pages are summed with the place of the build still open.
	plain, err := serviceWorker(pwa, Set{Files: []File{}})
	if err != nil {
		return Set{}, err
	}
	sum := sha256.New()
	sum.Write(plain)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		fmt.Fprintf(sum, "\n%s %x", name, sha256.Sum256(files[name]))
	}
	set := Set{Build: hex.EncodeToString(sum.Sum(nil))[:12]}
	for _, e := range entries {
		page := strings.Replace(string(files[e.html]), "{{build}}", set.Build, 1)
		if strings.Contains(page, "{{") {
			return Set{}, fmt.Errorf("page %s: only {{build}} and {{head}} are filled in, once each", e.html)
		}
		files[e.html] = []byte(page)
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		set.Files = append(set.Files, File{name, fmt.Sprintf("%x", sha256.Sum256(files[name])), len(files[name]), later[name]})
	}
	if files["sw.js"], err = serviceWorker(pwa, set); err != nil {
		return Set{}, err
	}
	list, err := json.MarshalIndent(set, "", "  ")
	if err != nil {
		return Set{}, fmt.Errorf("write the list of files: %w", err)
	}
	files["set.json"] = append(list, '\n')
	return set, nil
}

func serviceWorker(pwa string, set Set) ([]byte, error) {
	list, err := json.Marshal(set)
	if err != nil {
		return nil, fmt.Errorf("write the list of files: %w", err)
	}
	got, _, err := script(pwa, api.BuildOptions{
		EntryPoints: []string{"sw.ts"},
		Outdir:      pwa,
		Format:      api.FormatIIFE,
		Define:      map[string]string{"BUILT_SET": string(list)},
	})
	return got["sw.js"], err
}

// hashed names a file by its content.
func hashed(stem, ext string, content []byte) string {
	sum := sha256.Sum256(content)
	return stem + "-" + strings.ToUpper(hex.EncodeToString(sum[:4])) + ext
}
