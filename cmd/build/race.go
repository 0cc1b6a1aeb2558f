package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
)

// listed is what we use of a package in go list -json.
type listed struct {
	ImportPath, Dir                    string
	GoFiles, TestGoFiles, XTestGoFiles []string
	Imports, TestImports, XTestImports []string
}

// packages are all packages of the project by their path.
func (c checker) packages(ctx context.Context) (map[string]listed, error) {
	cmd := exec.CommandContext(ctx, "go", "list", "-json=ImportPath,Dir,GoFiles,TestGoFiles,XTestGoFiles,Imports,TestImports,XTestImports", "./...")
	cmd.Dir = c.root
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("list the packages: %w", err)
	}
	all := map[string]listed{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, fmt.Errorf("read the list of packages: %w", err)
		}
		all[p.ImportPath] = p
	}
}

// racy tells the packages in which the race detector can find something: those that do
// two things at once, in their tests or anywhere in what of ours these call. In the
// others, most of calc, it would only make everything five times as slow.
func racy(all map[string]listed) (map[string]bool, error) {
	concurrent := map[string]bool{} // by what is not a test
	own := map[string]bool{}        // tests too
	for path, p := range all {
		var err error
		if concurrent[path], err = isConcurrent(p.Dir, p.GoFiles); err != nil {
			return nil, err
		}
		tests, err := isConcurrent(p.Dir, slices.Concat(p.TestGoFiles, p.XTestGoFiles))
		if err != nil {
			return nil, err
		}
		own[path] = tests
	}
	found := map[string]bool{}
	for path, p := range all {
		seen := map[string]bool{}
		var calls func(path string) bool
		calls = func(path string) bool {
			if seen[path] {
				return false
			}
			seen[path] = true
			return concurrent[path] || slices.ContainsFunc(all[path].Imports, calls)
		}
		found[path] = own[path] || calls(path) || slices.ContainsFunc(slices.Concat(p.TestImports, p.XTestImports), calls)
	}
	return found, nil
}

// concurrentImports are packages of others by which two things happen at once.
var concurrentImports = []string{"sync", "sync/atomic", "net", "net/http", "net/http/httptest", "database/sql"}

// isConcurrent tells whether files start goroutines, or use what does.
func isConcurrent(dir string, files []string) (bool, error) {
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(dir, name), nil, parser.SkipObjectResolution)
		if err != nil {
			return false, fmt.Errorf("look for goroutines: %w", err)
		}
		is := slices.ContainsFunc(f.Imports, func(i *ast.ImportSpec) bool {
			path, err := strconv.Unquote(i.Path.Value)
			return err == nil && slices.Contains(concurrentImports, path)
		})
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				is = true
			case *ast.CallExpr:
				called, isMethod := n.Fun.(*ast.SelectorExpr)
				is = is || isMethod && (called.Sel.Name == "Parallel" && len(n.Args) == 0 || called.Sel.Name == "RunParallel")
			}
			return !is
		})
		if is {
			return true, nil
		}
	}
	return false, nil
}
