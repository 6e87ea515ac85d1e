package forage

import (
	_ "github.com/arran4/golang-ical"
	_ "github.com/google/go-cmp/cmp"
	_ "github.com/jedib0t/go-pretty/v6/table"
	_ "github.com/pelletier/go-toml/v2"
	_ "github.com/rogpeppe/go-internal/testscript"
	_ "github.com/schollz/progressbar/v3"
	_ "github.com/spf13/cobra"
	_ "github.com/stretchr/testify/require"
	_ "github.com/xuri/excelize/v2"
	_ "golang.org/x/sync/errgroup"
	_ "golang.org/x/term"
	_ "golang.org/x/text/encoding/charmap"
	_ "gonum.org/v1/gonum/stat"
	_ "gonum.org/v1/gonum/optimize"
	_ "gonum.org/v1/plot"
	_ "gonum.org/v1/plot/vg/vgpdf"
	_ "gonum.org/v1/plot/vg/vgsvg"
	_ "gonum.org/v1/plot/vg/vgimg"
	_ "pgregory.net/rapid"
)
