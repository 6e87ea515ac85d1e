module bloomgap

go 1.26.0

require (
	codeberg.org/go-fonts/liberation v0.5.0 // the sans face of charts and sheets
	codeberg.org/go-pdf/fpdf v0.11.1 // yard sheets and charts as PDF
	github.com/arran4/golang-ical v0.3.4 // visits as iCalendar
	github.com/emersion/go-ical v0.0.0-20250329121855-f41e73efc392 // tests: the calendar read by a second parser
	github.com/gofrs/flock v0.13.2 // one run at a time writes into a folder
	github.com/google/go-cmp v0.7.0 // tests: what differs between two plans
	github.com/jedib0t/go-pretty/v6 v6.8.3 // tables on a terminal
	github.com/pelletier/go-toml/v2 v2.4.3 // settings, with line and column of an error
	github.com/rogpeppe/go-internal v1.16.0 // tests: scripts that run the command
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3 // tests: the JSON of a plan against its schema
	github.com/schollz/progressbar/v3 v3.19.1 // progress on a terminal
	github.com/spf13/cobra v1.10.2 // commands and flags
	github.com/spf13/pflag v1.0.9 // the flag sets of cobra
	github.com/stretchr/testify v1.12.1 // tests
	github.com/xuri/excelize/v2 v2.11.1 // workbooks in and out
	golang.org/x/image v0.44.0 // pictures of charts
	golang.org/x/net v0.62.0 // tests: the page parsed as a browser does
	golang.org/x/sync v0.25.0 // workers that stop together
	golang.org/x/term v0.48.0 // whether the output is a terminal
	golang.org/x/text v0.44.0 // tables and records that are not UTF-8
	gonum.org/v1/gonum v0.17.0 // statistics, interpolation, linear algebra
	gonum.org/v1/plot v0.17.0 // charts
	pgregory.net/rapid v1.3.0 // tests: properties on drawn input
)

require (
	codeberg.org/go-latex/latex v0.2.0 // indirect
	git.sr.ht/~sbinet/gg v0.7.0 // indirect
	github.com/ajstarks/svgo v0.0.0-20211024235047-1546f124cd8b // indirect
	github.com/cpuguy83/go-md2man/v2 v2.0.6 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/mattn/go-runewidth v0.0.16 // indirect
	github.com/mitchellh/colorstring v0.0.0-20190213212951-d06e56a500db // indirect
	github.com/richardlehane/mscfb v1.0.9 // indirect
	github.com/richardlehane/msoleps v1.0.6 // indirect
	github.com/rivo/uniseg v0.4.7 // indirect
	github.com/russross/blackfriday/v2 v2.1.0 // indirect
	github.com/teambition/rrule-go v1.8.2 // indirect
	github.com/tiendc/go-deepcopy v1.7.2 // indirect
	github.com/xuri/efp v0.0.3-0.20260924042702-217b81952dec // indirect
	github.com/xuri/nfp v0.0.2-0.20250530014748-2ddeb826f9a9 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/crypto v0.58.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/tools v0.52.0 // indirect
)
