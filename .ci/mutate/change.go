package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// change is one thing changed in one function of the program.
type change struct {
	file      string // from the root
	line      int
	fn        *function
	from, to  int    // bytes of the file that are replaced
	was, made string // the text that was changed, and what it became
	source    string // the line it stands in
}

func (c *change) String() string {
	return fmt.Sprintf("%s:%d: %s -> %s", c.file, c.line, short(c.was), short(c.made))
}

// room is the package's folder.
func (c *change) room() string { return filepath.ToSlash(filepath.Dir(c.file)) }

// key names a change beyond the lines that come and go above it.
func (c *change) key() string {
	return fmt.Sprintf("%s %s: `%s`: %s -> %s", c.file, c.fn.name(), strings.Join(strings.Fields(c.source), " "), short(c.was), short(c.made))
}

// text is the whole file afterwards.
func (c *change) text() []byte {
	return slices.Concat(c.fn.src[:c.from], []byte(c.made), c.fn.src[c.to:])
}

// function is one function in which something may be changed.
type function struct {
	decl *ast.FuncDecl
	fset *token.FileSet
	src  []byte // of its file
}

// name is the function's, with the type that it belongs to.
func (f *function) name() string {
	if f.decl.Recv == nil {
		return f.decl.Name.Name
	}
	t := f.decl.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	if generic, ok := t.(*ast.IndexExpr); ok {
		t = generic.X
	}
	if id, ok := t.(*ast.Ident); ok {
		return id.Name + "." + f.decl.Name.Name
	}
	return f.decl.Name.Name
}

func (f *function) offset(p token.Pos) int { return f.fset.Position(p).Offset }

func short(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 50 {
		return string(r[:49]) + "…"
	}
	return s
}

// changes lists all that could be made in some packages, in order of file and place.
func changes(root string, rooms []string) ([]*change, error) {
	var out []*change
	for _, room := range rooms {
		files, err := filepath.Glob(filepath.Join(root, room, "*.go"))
		if err != nil {
			return nil, err
		}
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			found, err := ofFile(root, path)
			if err != nil {
				return nil, err
			}
			out = append(out, found...)
		}
	}
	return out, nil
}

// finder collects the changes of one file.
type finder struct {
	fset *token.FileSet
	name string
	src  []byte
	in   *function
	idle map[*ast.BasicLit]bool // figures that make no difference
	out  []*change
}

func ofFile(root, path string) ([]*change, error) {
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	name, err := filepath.Rel(root, path)
	if err != nil {
		return nil, err
	}
	f := &finder{fset: token.NewFileSet(), name: name, src: src, idle: map[*ast.BasicLit]bool{}}
	tree, err := parser.ParseFile(f.fset, path, src, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	for _, d := range tree.Decls {
		// Constants have their source on their line: whether they are right is no question to a test.
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Body != nil && fn.Name.Name != "Validate" && fn.Name.Name != "String" {
			f.in = &function{decl: fn, fset: f.fset, src: src}
			ast.Inspect(fn.Body, f.visit)
		}
	}
	return f.out, nil
}

// put replaces the text from one place to another.
func (f *finder) put(from, to token.Pos, made string) {
	a, b := f.fset.Position(from), f.fset.Position(to)
	begin := a.Offset - (a.Column - 1)
	line, _, _ := strings.Cut(string(f.src[begin:]), "\n")
	f.out = append(f.out, &change{file: f.name, line: a.Line, fn: f.in, from: a.Offset, to: b.Offset,
		was: string(f.src[a.Offset:b.Offset]), made: made, source: line})
}

func (f *finder) text(n ast.Node) string {
	return string(f.src[f.fset.Position(n.Pos()).Offset:f.fset.Position(n.End()).Offset])
}

// swaps are operators and what takes their place.
var swaps = map[token.Token][]token.Token{
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL},
	token.LSS: {token.LEQ, token.GEQ}, token.LEQ: {token.LSS, token.GTR}, token.GTR: {token.GEQ, token.LEQ}, token.GEQ: {token.GTR, token.LSS},
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL}, token.LAND: {token.LOR}, token.LOR: {token.LAND},
	token.ADD_ASSIGN: {token.SUB_ASSIGN}, token.SUB_ASSIGN: {token.ADD_ASSIGN}, token.MUL_ASSIGN: {token.QUO_ASSIGN}, token.QUO_ASSIGN: {token.MUL_ASSIGN},
	token.INC: {token.DEC}, token.DEC: {token.INC}, token.BREAK: {token.CONTINUE}, token.CONTINUE: {token.BREAK},
}

func (f *finder) swap(at token.Pos, op token.Token) {
	for _, other := range swaps[op] {
		f.put(at, at+token.Pos(len(op.String())), other.String())
	}
}

// reports tells that a call adds a message to the problems of the input.
func reports(name string, args int) bool {
	switch name {
	case "Warn", "Problem":
		return args >= 3
	case "Add":
		return args >= 5
	}
	return false
}

// idle tells that an argument of a call may be any larger figure: the sign of an infinity, the
// room that is set aside for a slice.
func idle(call *ast.CallExpr, arg int) bool {
	switch fun := call.Fun.(type) {
	case *ast.SelectorExpr:
		pkg, ok := fun.X.(*ast.Ident)
		return ok && pkg.Name == "math" && (fun.Sel.Name == "Inf" || fun.Sel.Name == "IsInf" && arg == 1)
	case *ast.Ident:
		return fun.Name == "make" && arg == 2
	}
	return false
}

func (f *finder) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.CallExpr:
		for i, arg := range n.Args {
			if sign, ok := arg.(*ast.UnaryExpr); ok { // the sign itself is changed
				arg = sign.X
			}
			if lit, ok := arg.(*ast.BasicLit); ok && idle(n, i) && lit.Value != "0" {
				f.idle[lit] = true
			}
		}
		if name, ok := n.Fun.(*ast.Ident); ok {
			if name.Name == "panic" {
				return false // a programmer's error
			}
			if other := map[string]string{"min": "max", "max": "min"}[name.Name]; other != "" {
				f.put(name.Pos(), name.End(), other)
			}
		}
		if sel, ok := n.Fun.(*ast.SelectorExpr); ok {
			if pkg, ok := sel.X.(*ast.Ident); ok && (pkg.Name == "fmt" || pkg.Name == "errors") || reports(sel.Sel.Name, len(n.Args)) {
				return false // words
			}
			if other := map[string]string{"Min": "Max", "Max": "Min", "Before": "After", "After": "Before"}[sel.Sel.Name]; other != "" {
				f.put(sel.Sel.Pos(), sel.Sel.End(), other)
			}
		}
	case *ast.BinaryExpr:
		f.swap(n.OpPos, n.Op)
	case *ast.UnaryExpr:
		if n.Op == token.NOT || n.Op == token.SUB {
			f.put(n.Pos(), n.X.Pos(), "")
		}
	case *ast.IncDecStmt:
		f.swap(n.TokPos, n.Tok)
	case *ast.BranchStmt:
		if n.Label == nil {
			f.swap(n.TokPos, n.Tok)
		}
	case *ast.AssignStmt:
		f.swap(n.TokPos, n.Tok)
		if sel, ok := n.Lhs[0].(*ast.SelectorExpr); ok && (sel.Sel.Name == "Message" || sel.Sel.Name == "Fix" || sel.Sel.Name == "Source") {
			return false // words
		}
		if n.Tok == token.ASSIGN && len(n.Lhs) == 1 { // a value that is never set
			f.put(n.Pos(), n.End(), "_ = "+f.text(n.Rhs[0]))
		}
	case *ast.IfStmt:
		f.put(n.Cond.Pos(), n.Cond.End(), "("+f.text(n.Cond)+") && false")
	case *ast.BasicLit:
		if n.Kind == token.INT && !f.idle[n] {
			if v, err := strconv.Atoi(n.Value); err == nil {
				f.put(n.Pos(), n.End(), strconv.Itoa(v+1))
			}
		}
	}
	return true
}
