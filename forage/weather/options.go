package weather

import (
	"fmt"
	"io"

	"bloomgap/forage/read"
)

// Units tells in which units the figures of a file are, where the file leaves it
// open.
type Units uint8

// The choices of Options.Units.
const (
	UnitsAsStated Units = iota // what the file says, else what its figures show
	UnitsMetric                // C and mm, whatever the headings say
	UnitsUS                    // F and inches, whatever the headings say
)

// Options steer the reading of a file.
type Options struct {
	// Location is the place or station wanted where one file holds several: its
	// id or name, or a part of it that only one has. Capitals do not matter.
	Location string
	// Units overrides the units of plain tables and of NOAA's order form. The
	// other layouts have fixed units and do not heed it.
	Units Units
	// Confirmed are the questions that the keeper has answered: those problems
	// come back as warnings.
	Confirmed []read.Code
	// Stdin is what the path "-" stands for; nil: a file of that name.
	Stdin io.Reader
}

// DefaultOptions takes a file at its word and expects one place in it.
func DefaultOptions() Options { return Options{} }

// Validate tells what is wrong with the options.
func (o Options) Validate() error {
	if o.Units > UnitsUS {
		return fmt.Errorf("weather units: %d is none of the choices; say as stated (0), metric (1) or US (2)", o.Units)
	}
	return nil
}
