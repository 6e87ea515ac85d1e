package season_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"bloomgap/feed/season"
)

// TestTheWorkbookIsTheFolder: the workbook of init --xlsx says what the tables say, and
// goes on saying it once a keeper has filled it in with another program.
func TestTheWorkbookIsTheFolder(t *testing.T) {
	today := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	tables, book := filepath.Join(t.TempDir(), "tables"), filepath.Join(t.TempDir(), "book")
	require.NoError(t, season.WriteStarter(tables, today))
	require.NoError(t, season.WriteStarterBook(book, today))
	require.ErrorIs(t, season.WriteStarterBook(book, today), season.ErrNotEmpty)
	names := func(dir string) (out []string) {
		list, err := os.ReadDir(dir)
		require.NoError(t, err)
		for _, e := range list {
			out = append(out, e.Name())
		}
		return out
	}
	require.Equal(t, []string{"season.xlsx", "settings.toml"}, names(book))
	a, ps := season.Load(tables, today)
	require.Empty(t, ps)
	b, ps := season.Load(book, today)
	require.Empty(t, ps)
	same := cmp.Options{cmpopts.IgnoreFields(season.Season{}, "Dir"), cmpopts.IgnoreFields(season.Colony{}, "Line"), cmpopts.EquateNaNs()}
	require.Empty(t, cmp.Diff(a, b, same))

	file := filepath.Join(book, "season.xlsx")
	f, err := excelize.OpenFile(file)
	require.NoError(t, err)
	require.Equal(t, []string{"yards", "colonies", "tallies", "equipment", "given", "read me"}, f.GetSheetList())
	for sheet, want := range map[string]int{"yards": 5, "colonies": 10, "tallies": 8, "equipment": 3, "given": 5} {
		dv, err := f.GetDataValidations(sheet)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(dv), want, sheet)
	}
	for k, v := range []any{"Example Yard", "light doubles", today.AddDate(0, 0, 18), "2 deep", "yes", "light", nil, nil, 5, 6, 12} {
		cell, err := excelize.CoordinatesToCellName(k+1, 2)
		require.NoError(t, err)
		require.NoError(t, f.SetCellValue("tallies", cell, v))
	}
	require.NoError(t, f.SetCellValue("given", "A2", "Example Yard"))
	require.NoError(t, f.SetCellValue("given", "B2", "1"))
	require.NoError(t, f.SetCellValue("given", "C2", today.AddDate(0, 0, 19)))
	require.NoError(t, f.SetCellValue("given", "F2", 2.5))
	require.NoError(t, f.Save())
	require.NoError(t, f.Close())
	filled, ps := season.Load(book, today)
	require.Empty(t, ps)
	require.Len(t, filled.Colonies, len(a.Colonies)+1)
	last := filled.Colonies[len(a.Colonies)]
	require.Equal(t, "light doubles", last.Name)
	require.Equal(t, 12, last.Tally.LookedAt)
	require.Equal(t, "2027-03-19", last.Last().Date.Format(time.DateOnly))
	require.Equal(t, 2.5, filled.Given[0].SolidKg)
}

// TestTheDayOfTheCall takes the place of the settings' day.
func TestTheDayOfTheCall(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "s")
	clock := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	require.NoError(t, season.WriteStarter(dir, clock))
	day := time.Date(2027, 3, 25, 0, 0, 0, 0, time.UTC)
	s, ps := season.LoadAsked(dir, clock, season.Asked{Day: day})
	require.NoError(t, ps.Err())
	require.Equal(t, day, s.Today)
	_, ps = season.LoadAsked(dir, clock, season.Asked{Day: clock})
	require.ErrorContains(t, ps.Err(), "lies after today, 2027-03-01")
}
