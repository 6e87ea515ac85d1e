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
	cmd := exec.CommandContext(ctx, "go", "list", "-export", "-deps", "-json=ImportPath,Dir,Export,GoFiles,Imports,TestImports,XTestImports,TestGoFiles,XTestGoFiles",
		"./sim/...", "./feed/...", "./forage/...")
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
}

func newTypeChecker(rooms []room, compiled map[string]string) *typeChecker {
	t := &typeChecker{rooms: rooms, fset: token.NewFileSet(), trees: map[string]*ast.File{}}
	t.imp = importer.ForCompiler(t.fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(compiled[path]) })
	return t
}

func (t *typeChecker) builds(root string, c *change) bool {
	i := slices.IndexFunc(t.rooms, func(r room) bool { return r.path == "bloomgap/"+c.room() })
	if i < 0 {
		return false
	}
	var files []*ast.File
	for _, name := range t.rooms[i].files {
		path := filepath.Join(t.rooms[i].dir, name)
		if path == filepath.Join(root, c.file) {
			tree, err := parser.ParseFile(t.fset, path, c.text(), parser.SkipObjectResolution)
			if err != nil {
				return false
			}
			files = append(files, tree)
			continue
		}
		if t.trees[path] == nil {
			tree, err := parser.ParseFile(t.fset, path, nil, parser.SkipObjectResolution)
			if err != nil {
				return false
			}
			t.trees[path] = tree
		}
		files = append(files, t.trees[path])
	}
	conf := types.Config{Importer: t.imp}
	_, err := conf.Check(t.rooms[i].path, t.fset, files, nil)
	return err == nil
}
