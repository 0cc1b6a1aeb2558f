package calc_test

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	pathpkg "path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "tubewright"

// arrows says which packages of ours a package may import. A new arrow is a
// design decision: change the table and say why in the commit.
var arrows = map[string]string{
	"calc":            "", // only says what the folder is for
	"calc/fault":      "",
	"calc/num":        "",
	"calc/sorted":     "",
	"calc/ledger":     "sorted",
	"calc/chain":      "",
	"calc/ask":        "fault ledger",
	"calc/photo":      "",
	"calc/units":      "fault",
	"calc/geom":       "num sorted",
	"calc/route":      "clear fault geom num sorted stock tube units",
	"calc/tube":       "fault geom num units",
	"calc/survey":     "fault geom num tube units",
	"calc/stock":      "fault num sorted tube units",
	"calc/flange":     "fault geom num sorted units",
	"calc/collector":  "fault geom num tube units",
	"calc/clear":      "fault geom num tube units",
	"calc/weld":       "fault sizing sorted tube units", // sizing for what a source is, and its grade
	"calc/wrap":       "fault units",
	"calc/fixture":    "clear fault flange geom tube units",
	"calc/gas":        "fault num units",
	"calc/sizing":     "fault flange gas sorted tube units",
	"calc/job":        "clear collector fault fixture flange gas geom ledger num route sizing sorted stock survey tube units weld",
	"calc/draw":       "collector fixture flange geom job stock tube units",
	"calc/draw/pdf":   "draw fault geom units",
	"calc/draw/dxf":   "draw fault geom sorted units",
	"calc/draw/sheet": "draw draw/dxf fault flange geom job sorted stock units wrap",
	"calc/draw/pack":  "draw/pdf draw/sheet job ledger units", // the papers of a record pack
	"calc/calctest":   "clear collector fault fixture flange gas geom job ledger num route sizing sorted stock survey tube units weld",
	"store":           "chain job ledger photo",
	"server":          "chain draw draw/pdf draw/sheet job ledger units",
	"pwa":             "",
	"cmd/build":       "",
	"cmd/calcwasm":    "ask job ledger", // every tablet starts with it: what draws is in longwasm
	"cmd/longwasm":    "all of calc",
	"cmd/tubewright":  "everything",
}

// rowOf returns the row that a folder falls under. In calc every package has a row
// of its own; elsewhere a folder without one belongs to the folder above it
// (cmd/build/bundle to cmd/build).
func rowOf(dir string) (row string, known bool) {
	for {
		if _, known := arrows[dir]; known || strings.HasPrefix(dir, "calc/") || dir == "." {
			return dir, known
		}
		dir = pathpkg.Dir(dir)
	}
}

// mayImport reports whether pkg may import dep; both are folders of the module.
// What belongs to the same row may import each other.
func mayImport(pkg, dep string) bool {
	from, _ := rowOf(pkg)
	to, known := rowOf(dep)
	if !known {
		return false
	}
	if from == to {
		return true
	}
	calcDep, inCalc := strings.CutPrefix(to, "calc/")
	switch allowed := arrows[from]; allowed {
	case "everything":
		return true
	case "all of calc":
		return inCalc && calcDep != "calctest" && calcDep != "draw/pdf" // paper is the server's work, and its library large
	default:
		return inCalc && slices.Contains(strings.Fields(allowed), calcDep)
	}
}

// source is one parsed file of the module.
type source struct {
	path string // slashes, from the root
	dir  string
	file *ast.File
	set  *token.FileSet
}

func (s source) imports() (paths []string) {
	for _, spec := range s.file.Imports {
		p, err := strconv.Unquote(spec.Path.Value)
		if err == nil {
			paths = append(paths, p)
		}
	}
	return paths
}

// sources parses every Go file of the module that is not a test. The files are
// opened here and not by another program, because the test cache knows only what
// the test process opens: a check through the go command stays "ok (cached)"
// after a bad import.
func sources(t *testing.T, root string) []source {
	t.Helper()
	var list []source
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() {
			if path != root && (strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_") || name == "node_modules" || name == "testdata" || name == "dist") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		list = append(list, source{rel, pathpkg.Dir(rel), file, set})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(list) == 0 {
		t.Fatal("no Go files found: the test looks in the wrong place")
	}
	return list
}

func TestArrowsPointDown(t *testing.T) {
	for _, s := range sources(t, "..") {
		if _, known := rowOf(s.dir); !known {
			t.Errorf("%s: package %s has no row in the table of arrows", s.path, s.dir)
			continue
		}
		for _, p := range s.imports() {
			dep, ours := strings.CutPrefix(p, module+"/")
			if ours && !mayImport(s.dir, dep) {
				t.Errorf("%s imports %s, for which %s has no arrow", s.path, dep, s.dir)
			}
		}
	}
}

// outside are the imports that calc may not have: anything that reads or writes
// what is not an argument, and complex numbers, whose functions rest on those
// banned below. A package below one of these is banned with it.
var outside = []string{"os", "net", "log", "database/sql", "syscall", "io/ioutil", "math/rand", "crypto/rand", "testing", "math/cmplx", "runtime", "plugin", "unsafe", "C"}

// banned are functions that calc may not use: by package, name and why.
var banned = map[string]map[string]string{
	"math": {
		"Exp": differs, "Exp2": differs, "Expm1": differs, "Pow": differs,
		"Sinh": differs, "Cosh": differs, "Tanh": differs,
	},
	"math/rand/v2": {
		"NormFloat64": differs, "ExpFloat64": differs,
		"Int": shared, "IntN": shared, "Int32": shared, "Int32N": shared, "Int64": shared, "Int64N": shared,
		"Uint": shared, "UintN": shared, "Uint32": shared, "Uint32N": shared, "Uint64": shared, "Uint64N": shared,
		"Float32": shared, "Float64": shared, "Perm": shared, "Shuffle": shared, "N": shared,
	},
	"time": {
		"Now": clock, "Since": clock, "Until": clock, "Sleep": clock, "After": clock, "AfterFunc": clock,
		"Tick": clock, "NewTimer": clock, "NewTicker": clock,
	},
}

// methods are banned whatever they are called on: the drawing functions of a
// random source go through Exp and Log of the machine.
var methods = []string{"NormFloat64", "ExpFloat64"}

const (
	differs = "differs between amd64 and wasm by some units in the last place"
	shared  = "draws from the shared source; take a *rand.Rand as an argument"
	clock   = "reads the clock; take the time as an argument"
)

// checkPure returns what a file of calc does that it may not.
func checkPure(s source) (wrong []error) {
	names := map[string]string{} // local name of an import, its path
	for _, spec := range s.file.Imports {
		p, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return append(wrong, err)
		}
		for _, o := range outside {
			if (o == "testing" || o == "os") && s.dir == "calctest" {
				continue // it is for tests only, and reads what they are held against
			}
			if p == o || strings.HasPrefix(p, o+"/") && p != "math/rand/v2" {
				wrong = append(wrong, errors.New("imports "+p))
			}
		}
		name := p[strings.LastIndex(p, "/")+1:]
		if p == "math/rand/v2" {
			name = "rand"
		}
		if spec.Name != nil {
			name = spec.Name.Name
		}
		if name == "." {
			wrong = append(wrong, errors.New("imports "+p+" with a dot, which hides where names come from"))
		}
		names[name] = p
	}
	ast.Inspect(s.file, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		at := func(what string) error {
			return errors.New(s.set.Position(sel.Pos()).String() + ": " + what)
		}
		if x, ok := sel.X.(*ast.Ident); ok {
			if why := banned[names[x.Name]][sel.Sel.Name]; why != "" {
				wrong = append(wrong, at(names[x.Name]+"."+sel.Sel.Name+" "+why))
				return true
			}
		}
		if slices.Contains(methods, sel.Sel.Name) {
			wrong = append(wrong, at(sel.Sel.Name+" "+differs))
		}
		return true
	})
	return wrong
}

func TestCalcKeepsToItsArguments(t *testing.T) {
	for _, s := range sources(t, ".") {
		for _, err := range checkPure(s) {
			t.Errorf("calc/%s: %v", s.path, err)
		}
	}
}

// The check itself sees what it is there for.
func TestImpureFileIsCaught(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"plain", `import "math"; var _ = math.Exp(1)`, "math.Exp"},
		{"not called", `import "math"; var f = math.Pow`, "math.Pow"},
		{"renamed", `import m "math"; var _ = m.Sinh(1)`, "math.Sinh"},
		{"hyperbolic", `import "math"; var _, _ = math.Cosh(1), math.Tanh(1)`, "math.Tanh"},
		{"method", `import "math/rand/v2"; func f(r *rand.Rand) float64 { return r.NormFloat64() }`, "NormFloat64"},
		{"exponential", `import "math/rand/v2"; func f(r *rand.Rand) float64 { return r.ExpFloat64() }`, "ExpFloat64"},
		{"shared source", `import "math/rand/v2"; var _ = rand.Float64()`, "Float64"},
		{"clock", `import "time"; var _ = time.Now()`, "time.Now"},
		{"os", `import _ "os"`, "imports os"},
		{"below os", `import _ "os/exec"`, "imports os/exec"},
		{"net", `import _ "net/http"`, "imports net/http"},
		{"log", `import _ "log/slog"`, "imports log/slog"},
		{"sql", `import _ "database/sql"`, "imports database/sql"},
		{"page", `import _ "syscall/js"`, "imports syscall/js"},
		{"dot", `import . "math"`, "with a dot"},
	}
	for _, tt := range tests {
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, "x.go", "package x\n"+tt.text, parser.SkipObjectResolution)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if got := errors.Join(checkPure(source{"x.go", "calc/x", file, set})...); got == nil || !strings.Contains(got.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q named", tt.name, got, tt.want)
		}
	}
	fine := `import ("math"; "math/rand/v2"; "time"; "strings")
func f(r *rand.Rand, t time.Time) float64 { return math.Sqrt(r.Float64()) + float64(t.Unix()) + float64(strings.Count("a", "b")) }`
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, "x.go", "package x\n"+fine, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	if got := checkPure(source{"x.go", "calc/x", file, set}); got != nil {
		t.Errorf("a pure file: got %v, want nothing", got)
	}
}

func TestArrowTable(t *testing.T) {
	tests := []struct {
		pkg, dep string
		want     bool
	}{
		{"calc/geom", "calc/units", false}, {"calc/geom", "calc/num", true},
		{"calc/stock", "calc/geom", false}, {"calc/tube", "calc/geom", true},
		{"calc/job", "calc/draw", false}, {"calc/job", "calc/ledger", true}, {"calc/tube", "store", false},
		{"store", "server", false}, {"server", "store", false}, {"store", "calc/ledger", true},
		{"cmd/calcwasm", "calc/job", true}, {"cmd/calcwasm", "store", false},
		{"cmd/build", "calc/job", false}, {"cmd/tubewright", "server", true}, {"pwa", "calc/units", false},
		{"cmd/build", "cmd/build/bundle", true}, {"cmd/build/bundle", "calc/units", false}, {"cmd/build", "pwa/drive", false},
		{"cmd/tubewright", "server/wire", true}, {"calc/draw", "calc/draw/other", false}, {"calc/draw", "calc/draw/pdf", false}, {"calc/draw/pdf", "calc/draw", true},
		{"cmd/calcwasm", "calc/draw/pdf", false}, {"calc/draw/sheet", "calc/draw/pdf", false}, {"cmd/calcwasm", "calc/draw/dxf", false}, {"cmd/longwasm", "calc/draw/dxf", true}, {"cmd/longwasm", "calc/draw/pdf", false}, {"calc/other", "calc/fault", false},
	}
	for _, tt := range tests {
		if got := mayImport(tt.pkg, tt.dep); got != tt.want {
			t.Errorf("%s may import %s: got %v, want %v", tt.pkg, tt.dep, got, tt.want)
		}
	}
	// Within the table nothing points up: following arrows never comes back.
	var visit func(pkg string, path []string)
	visit = func(pkg string, path []string) {
		if slices.Contains(path, pkg) {
			t.Fatalf("the arrows go round: %s", strings.Join(append(path, pkg), " → "))
		}
		for other := range arrows {
			if other != pkg && mayImport(pkg, other) {
				visit(other, append(slices.Clone(path), pkg))
			}
		}
	}
	for pkg := range arrows {
		visit(pkg, nil)
	}
}
