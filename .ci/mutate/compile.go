package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// room is a package and what it imports, tests included.
type room struct {
	path, dir string
	files     []string // without tests
	imports   []string
	tests     bool
}

// listed is what go list tells of a package.
type listed struct {
	ImportPath, Dir, Export            string
	GoFiles                            []string
	Imports, TestImports, XTestImports []string
	TestGoFiles, XTestGoFiles          []string
}

// listRooms lists the engine's packages, and what is compiled of all that they need.
func listRooms(ctx context.Context, root string) (rooms []room, compiled map[string]string, err error) {
	cmd := exec.CommandContext(ctx, "go", "list", "-export", "-deps",
		"-json=ImportPath,Dir,Export,GoFiles,Imports,TestImports,XTestImports,TestGoFiles,XTestGoFiles", "./sim/...", "./feed/...", "./forage/...")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return nil, nil, fmt.Errorf("the packages of %s cannot be listed: %w", root, err)
	}
	compiled = map[string]string{}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var l listed
		if err := dec.Decode(&l); errors.Is(err, io.EOF) {
			return rooms, compiled, nil
		} else if err != nil {
			return nil, nil, err
		}
		compiled[l.ImportPath] = l.Export
		if strings.HasPrefix(l.ImportPath, "bloomgap/") {
			rooms = append(rooms, room{path: l.ImportPath, dir: l.Dir, files: l.GoFiles,
				imports: slices.Concat(l.Imports, l.TestImports, l.XTestImports), tests: len(l.TestGoFiles)+len(l.XTestGoFiles) > 0})
		}
	}
}

// users are the engine packages with tests that import one; itself comes first.
func users(rooms []room, pkg string) []string {
	out := []string{pkg}
	for _, r := range rooms {
		if r.path != pkg && r.tests && slices.Contains(r.imports, pkg) {
			out = append(out, r.path)
		}
	}
	return out
}

// typeChecker tells which changes the compiler would take.
type typeChecker struct {
	rooms []room
	fset  *token.FileSet
	imp   types.Importer
	trees map[string]*ast.File // unchanged, by path
	ties  map[string]bool      // by tieAt
}

func newTypeChecker(rooms []room, compiled map[string]string) *typeChecker {
	t := &typeChecker{rooms: rooms, fset: token.NewFileSet(), trees: map[string]*ast.File{}, ties: map[string]bool{}}
	t.imp = importer.ForCompiler(t.fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(compiled[path]) })
	return t
}

// tieAt is a place in a file.
func tieAt(path string, offset int) string { return fmt.Sprint(path, ":", offset) }

// findTies lists the comparisons of two figures that are both worked out. To let them be equal,
// or not, changes something only when they are so to the last bit.
func (t *typeChecker) findTies(pkg string) {
	i := slices.IndexFunc(t.rooms, func(r room) bool { return r.path == pkg })
	if i < 0 {
		return
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	conf := types.Config{Importer: t.imp, Error: func(error) {}}
	_, _ = conf.Check(pkg, t.fset, t.unchanged(&t.rooms[i]), info) // what does not compile is found elsewhere
	figure := func(x ast.Expr) bool {
		tv := info.Types[x]
		if tv.Type == nil || tv.Value != nil {
			return false
		}
		b, ok := tv.Type.Underlying().(*types.Basic)
		return ok && b.Info()&types.IsFloat != 0
	}
	for _, file := range t.unchanged(&t.rooms[i]) {
		ast.Inspect(file, func(n ast.Node) bool {
			if b, ok := n.(*ast.BinaryExpr); ok && figure(b.X) && figure(b.Y) {
				at := t.fset.Position(b.OpPos)
				t.ties[tieAt(at.Filename, at.Offset)] = true
			}
			return true
		})
	}
}

// unchanged are the files of a package.
func (t *typeChecker) unchanged(r *room) []*ast.File {
	var out []*ast.File
	for _, name := range r.files {
		path := filepath.Join(r.dir, name)
		if t.trees[path] == nil {
			tree, err := parser.ParseFile(t.fset, path, nil, parser.SkipObjectResolution)
			if err != nil {
				return nil
			}
			t.trees[path] = tree
		}
		out = append(out, t.trees[path])
	}
	return out
}

// tie tells that a change only moves what becomes of two equal figures.
func (t *typeChecker) tie(root string, c *change) bool {
	switch c.was + c.made {
	case "<<=", "<=<", ">>=", ">=>":
		return t.ties[tieAt(filepath.Join(root, c.file), c.from)]
	}
	return false
}

func (t *typeChecker) builds(root string, c *change) bool {
	i := slices.IndexFunc(t.rooms, func(r room) bool { return r.path == "bloomgap/"+c.room() })
	if i < 0 {
		return false
	}
	tree, err := parser.ParseFile(t.fset, filepath.Join(root, c.file), c.text(), parser.SkipObjectResolution)
	if err != nil {
		return false
	}
	files := slices.Clone(t.unchanged(&t.rooms[i]))
	for k, name := range t.rooms[i].files {
		if filepath.Join(t.rooms[i].dir, name) == filepath.Join(root, c.file) {
			files[k] = tree
		}
	}
	conf := types.Config{Importer: t.imp}
	_, err = conf.Check(t.rooms[i].path, t.fset, files, nil)
	return err == nil
}
