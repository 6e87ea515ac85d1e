package plan

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

// Every type with a Code method has one sample, and no code stands twice.
func TestSamplesHoldEveryCode(t *testing.T) {
	types := map[string]bool{}
	files, err := os.ReadDir(".")
	require.NoError(t, err)
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), f.Name(), nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Name.Name == "Code" && fn.Recv != nil {
				types[fn.Recv.List[0].Type.(*ast.Ident).Name] = true
			}
		}
	}
	codes := map[Code]bool{}
	for _, n := range Samples() {
		name := reflect.TypeOf(n).Name()
		require.True(t, types[name], "%s has two samples", name)
		delete(types, name)
		require.False(t, codes[n.Code()], "code %s appears twice", n.Code())
		codes[n.Code()] = true
		require.Regexp(t, `^(reason|confidence|feeder|against|supplement|warning|task|caution|limit)\.[a-z_]+$`, string(n.Code()))
	}
	require.Empty(t, types, "codes without a sample")
}

func TestNotesAsJSON(t *testing.T) {
	for _, n := range Samples() {
		b, err := MarshalNote(n)
		require.NoError(t, err)
		var back struct {
			Code    Code
			Figures map[string]any
		}
		require.NoError(t, json.Unmarshal(b, &back))
		require.Equal(t, n.Code(), back.Code)
		require.Len(t, back.Figures, reflect.TypeOf(n).NumField())
	}
	b, err := MarshalNote(Seen{Food: season.FoodHeft, On: sampleDay(3, 20), StoresKg: Range{1, 2.3456789, math.NaN()}, Bees: 8700})
	require.NoError(t, err)
	require.JSONEq(t, `{"code": "reason.seen", "figures": {"food": "heft", "on": "2027-03-20", "before": 0,
		"stores_kg": {"p10": 1, "p50": 2.3457, "p90": null}, "bees": 8700}}`, string(b))
	b, err = MarshalNote(RoundsCold{Rounds: []ColdRound{{sampleDay(3, 25), 3.2}}})
	require.NoError(t, err)
	require.JSONEq(t, `{"code": "warning.rounds_cold", "figures": {"rounds": [{"on": "2027-03-25", "max_c": 3.2}]}}`, string(b))
	b, err = MarshalNote(nil)
	require.NoError(t, err)
	require.Equal(t, "null", string(b))
}

func TestFeedersAsText(t *testing.T) {
	for _, f := range append(Feeders(), NoFeeder) {
		b, err := f.MarshalText()
		require.NoError(t, err)
		var back Feeder
		require.NoError(t, back.UnmarshalText(b))
		require.Equal(t, f, back)
	}
	require.ErrorContains(t, new(Feeder).UnmarshalText([]byte("spoon")), "spoon")
}
