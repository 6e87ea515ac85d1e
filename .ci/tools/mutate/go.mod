// A module of its own, so that what it needs is no part of the program.
module bloomgap/mutate

go 1.26
