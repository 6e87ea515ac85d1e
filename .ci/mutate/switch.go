package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/format"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// All changes of a run are compiled at once: each is a copy of its function beside it, and the
// function goes to the copy whose number an environment variable names. So each package is built
// once, not once a change, and a test can be asked which functions it comes through.

// switchPackage stands in the overlay alone.
const switchPackage = "bloomgap/mutateswitch"

// switchSource tells which change is made, and writes down the functions that are come through.
const switchSource = `package mutateswitch

import (
	"fmt"
	"os"
	"strconv"
	"sync/atomic"
)

var (
	active, _ = strconv.Atoi(os.Getenv("MUTATE"))
	trace     = os.Getenv("MUTATE_TRACE")
	seen      [1 << 14]atomic.Bool
)

func On(function int) int {
	if trace != "" && seen[function].CompareAndSwap(false, true) {
		if f, err := os.OpenFile(trace, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600); err == nil {
			fmt.Fprintln(f, function)
			f.Close()
		}
	}
	return active
}
`

// overlay writes the switched files to a folder and gives the list that go build wants.
// Change number i of the list is on when the variable says i+1.
func overlay(work, root string, picked []*change, numbers map[*function]int) (string, error) {
	replace := map[string]string{filepath.Join(root, "mutateswitch", "switch.go"): filepath.Join(work, "switch.go")}
	if err := os.WriteFile(filepath.Join(work, "switch.go"), []byte(switchSource), 0o600); err != nil {
		return "", err
	}
	files := map[string][]*function{}
	of := map[*function][]int{}
	for i, c := range picked {
		if of[c.fn] == nil {
			files[c.file] = append(files[c.file], c.fn)
		}
		of[c.fn] = append(of[c.fn], i)
	}
	for file, fns := range files {
		text, err := switched(fns, picked, of, numbers)
		if err != nil {
			return "", fmt.Errorf("%s: %w", file, err)
		}
		path := filepath.Join(work, strings.ReplaceAll(file, string(filepath.Separator), "_"))
		if err := os.WriteFile(path, text, 0o600); err != nil {
			return "", err
		}
		replace[filepath.Join(root, file)] = path
	}
	b, err := json.Marshal(map[string]map[string]string{"Replace": replace})
	if err != nil {
		return "", err
	}
	list := filepath.Join(work, "overlay.json")
	return list, os.WriteFile(list, b, 0o600)
}

// switched is a file whose functions go to their changed copies.
func switched(fns []*function, picked []*change, of map[*function][]int, numbers map[*function]int) ([]byte, error) {
	slices.SortFunc(fns, func(a, b *function) int { return int(a.decl.Pos() - b.decl.Pos()) })
	src := fns[0].src
	var out, copies bytes.Buffer
	at := 0
	for _, f := range fns {
		from, body, end := f.offset(f.decl.Pos()), f.offset(f.decl.Body.Lbrace), f.offset(f.decl.Body.Rbrace)
		out.Write(src[at:from])
		head, err := f.head(f.decl.Name.Name)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&out, "%s {\nswitch mutateswitch.On(%d) {\n", head, numbers[f])
		for _, i := range of[f] {
			name := fmt.Sprintf("%s_m%d", f.decl.Name.Name, i+1)
			fmt.Fprintf(&out, "case %d:\n%s\n", i+1, f.call(name))
			head, err := f.head(name)
			if err != nil {
				return nil, err
			}
			c := picked[i]
			fmt.Fprintf(&copies, "\n%s %s%s%s\n", head, src[body:c.from], c.made, src[c.to:end+1])
		}
		out.WriteString("}\n")
		out.Write(src[body+1 : end+1])
		at = end + 1
	}
	out.Write(src[at:])
	out.Write(copies.Bytes())
	text := out.String()
	// The import goes behind the package clause, which starts a line of its own.
	clause := strings.Index("\n"+text, "\npackage ")
	line := clause + strings.Index(text[clause:], "\n")
	return []byte(text[:line] + "; import \"" + switchPackage + "\"" + text[line:]), nil
}

// head is the function's line with all parameters named, under another name.
func (f *function) head(name string) (string, error) {
	n := 0
	fill := func(l *ast.FieldList) *ast.FieldList {
		if l == nil {
			return nil
		}
		out := &ast.FieldList{}
		for _, field := range l.List {
			names := field.Names
			if len(names) == 0 {
				names = []*ast.Ident{ast.NewIdent("_")}
			}
			for _, id := range names {
				if id.Name == "_" {
					id = ast.NewIdent(fmt.Sprintf("mutate%d", n))
				}
				n++
				out.List = append(out.List, &ast.Field{Names: []*ast.Ident{ast.NewIdent(id.Name)}, Type: field.Type})
			}
		}
		return out
	}
	d := &ast.FuncDecl{Recv: fill(f.decl.Recv), Name: ast.NewIdent(name),
		Type: &ast.FuncType{TypeParams: f.decl.Type.TypeParams, Params: fill(f.decl.Type.Params), Results: f.decl.Type.Results}}
	var b bytes.Buffer
	err := format.Node(&b, token.NewFileSet(), d)
	return b.String(), err
}

// call is the statement that goes to a copy.
func (f *function) call(name string) string {
	n := 0
	names := func(l *ast.FieldList) (out []string) {
		if l == nil {
			return nil
		}
		for _, field := range l.List {
			list := field.Names
			if len(list) == 0 {
				list = []*ast.Ident{ast.NewIdent("_")}
			}
			for _, id := range list {
				text := id.Name
				if text == "_" {
					text = fmt.Sprintf("mutate%d", n)
				}
				n++
				if _, dots := field.Type.(*ast.Ellipsis); dots {
					text += "..."
				}
				out = append(out, text)
			}
		}
		return out
	}
	if r := names(f.decl.Recv); r != nil {
		name = r[0] + "." + name
	}
	if t := f.decl.Type.TypeParams; t != nil {
		var types []string
		for _, field := range t.List {
			for _, id := range field.Names {
				types = append(types, id.Name)
			}
		}
		name += "[" + strings.Join(types, ", ") + "]"
	}
	text := name + "(" + strings.Join(names(f.decl.Type.Params), ", ") + ")"
	if f.decl.Type.Results == nil {
		return text + "\nreturn"
	}
	return "return " + text
}
