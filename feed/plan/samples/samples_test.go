package samples

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
)

// Every type with a Code method has one sample, and no code stands twice.
func TestSamplesHoldEveryCode(t *testing.T) {
	types := map[string]bool{}
	files, err := os.ReadDir("..")
	require.NoError(t, err)
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", f.Name()), nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Name.Name == "Code" && fn.Recv != nil {
				types[fn.Recv.List[0].Type.(*ast.Ident).Name] = true
			}
		}
	}
	codes := map[plan.Code]bool{}
	for _, n := range Notes() {
		name := reflect.TypeOf(n).Name()
		require.True(t, types[name], "%s has two samples", name)
		delete(types, name)
		require.False(t, codes[n.Code()], "code %s appears twice", n.Code())
		codes[n.Code()] = true
		require.Len(t, plan.Figures(n), reflect.TypeOf(n).NumField())
		require.Regexp(t, `^(reason|confidence|feeder|against|supplement|warning|task|caution|limit|change|answer)\.[a-z_]+$`, string(n.Code()))
	}
	require.Empty(t, types, "codes without a sample")
}
