package web

import (
	"container/list"
	"sync"
)

// kept holds what was worked out last, by its question: so many and so many bytes at most.
// What was asked for longest ago goes first. The zero value keeps nothing.
type kept[V any] struct {
	most, mostBytes int

	lock  sync.Mutex
	bytes int
	order list.List // of keptOne, the last asked for in front
	all   map[string]*list.Element
}

type keptOne[V any] struct {
	key   string
	value V
	bytes int
}

// find is what was kept under a key.
func (k *kept[V]) find(key string) (v V, ok bool) {
	k.lock.Lock()
	defer k.lock.Unlock()
	e, ok := k.all[key]
	if !ok {
		return v, false
	}
	k.order.MoveToFront(e)
	return e.Value.(keptOne[V]).value, true
}

// put keeps a value of some bytes in place of what was under its key; not one that is larger
// than all may be.
func (k *kept[V]) put(key string, v V, bytes int) {
	k.lock.Lock()
	defer k.lock.Unlock()
	if k.all == nil {
		k.all = map[string]*list.Element{}
	}
	if e, ok := k.all[key]; ok {
		k.drop(e)
	}
	if bytes > k.mostBytes {
		return
	}
	k.all[key] = k.order.PushFront(keptOne[V]{key, v, bytes})
	k.bytes += bytes
	for len(k.all) > k.most || k.bytes > k.mostBytes {
		k.drop(k.order.Back())
	}
}

func (k *kept[V]) drop(e *list.Element) {
	one := k.order.Remove(e).(keptOne[V])
	delete(k.all, one.key)
	k.bytes -= one.bytes
}
