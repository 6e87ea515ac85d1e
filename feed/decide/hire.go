package decide

import "sync"

// idle are workers without work. Their room, some MB each, is used again for whatever season;
// the runtime drops what nobody takes.
var idle sync.Pool

// Hire is NewWorker with the room of a worker that was let go, where there is one.
func Hire(o *Options) *Worker {
	w, ok := idle.Get().(*Worker)
	if !ok {
		return NewWorker(o)
	}
	w.o = o
	return w
}

// LetGo gives up the room of a worker. Neither it, nor its Case, nor what its decisions say is
// good until it decides again, may be used from then on.
func (w *Worker) LetGo() {
	w.o = nil
	idle.Put(w)
}
