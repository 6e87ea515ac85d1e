package web

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

func TestKept(t *testing.T) {
	k := kept[string]{most: 3, mostBytes: 100}
	has := func(key string) bool { _, ok := k.find(key); return ok }
	require.False(t, has("a"))
	for _, key := range []string{"a", "b", "c"} {
		k.put(key, key+"!", 10)
	}
	require.True(t, has("a"))
	k.put("d", "d!", 10)
	require.False(t, has("b"), "b was asked for longest ago")
	v, ok := k.find("c")
	require.True(t, ok)
	require.Equal(t, "c!", v)
	k.put("c", "c?", 85)
	v, _ = k.find("c")
	require.Equal(t, "c?", v)
	require.Equal(t, 95, k.bytes, "c in place of itself, and d")
	require.False(t, has("a"), "too many bytes")
	k.put("large", "", 101)
	require.Equal(t, 95, k.bytes, "what is larger than all may be is not kept")
	k.put("c", "", 101)
	require.False(t, has("c"), "nor what it would take the place of")
	require.Equal(t, []int{1, 1, 10}, []int{len(k.all), k.order.Len(), k.bytes})
	var none kept[int]
	none.put("a", 1, 0)
	require.Empty(t, none.all)
}

// TestAnsweredOnce: the same question is answered by the same page without another plan, on the same day
// only; another way to write it costs no plan either. What is no answer is not kept.
func TestAnsweredOnce(t *testing.T) {
	h := newTestHandler(t, nil)
	day := testDay()
	h.today = func() time.Time { return day }
	first := get(h, "/answer?"+goodQuestion)
	require.Equal(t, 200, first.Code)
	require.EqualValues(t, 1, h.plans.Load())
	again := get(h, "/answer?"+goodQuestion)
	require.Equal(t, first.Body.String(), again.Body.String())
	require.Equal(t, first.Header(), again.Header())
	turned := strings.Split(goodQuestion, "&")
	turned[0], turned[1] = turned[1], turned[0]
	require.Equal(t, first.Body.String(), get(h, "/answer?"+strings.Join(turned, "&")).Body.String())
	require.Len(t, h.pages.all, 1)
	require.NotEqual(t, first.Body.String(), get(h, "/answer?"+goodQuestion+"&fields=none").Body.String(), "it says what it left out")
	require.Contains(t, get(h, "/?"+goodQuestion).Body.String(), "<html")
	why := get(h, "/answer?"+goodQuestion+"&ask=unwrap").Body.String()
	require.Equal(t, why, get(h, "/answer?"+goodQuestion+"&ask=unwrap").Body.String())
	require.Len(t, h.pages.all, 4)
	require.EqualValues(t, 1, h.plans.Load(), "all of one plan")
	require.NotEqual(t, first.Body.String(), get(h, "/answer?"+goodQuestion+"&units=us").Body.String())
	require.EqualValues(t, 2, h.plans.Load(), "units are part of it")
	pages := len(h.pages.all)
	require.Contains(t, get(h, "/answer?lat=95").Body.String(), "Please check")
	require.Equal(t, 200, get(h, "/").Code)
	require.Len(t, h.pages.all, pages)
	day = day.AddDate(0, 0, 1)
	require.Equal(t, 200, get(h, "/answer?"+goodQuestion).Code)
	require.EqualValues(t, 3, h.plans.Load(), "another day")

	h.hives.most, h.pages.most = 1, 2
	for seed := range 3 {
		get(h, fmt.Sprintf("/answer?%s&seed=%d", goodQuestion, seed))
	}
	require.Len(t, h.pages.all, 2)
	bytes := 0
	for _, e := range h.pages.all {
		bytes += e.Value.(keptOne[[]byte]).bytes
	}
	require.Equal(t, bytes, h.pages.bytes)
	plans := h.plans.Load()
	require.Equal(t, 200, get(h, "/answer?"+goodQuestion+"&seed=2").Code)
	require.Equal(t, plans, h.plans.Load())
	require.Equal(t, 200, get(h, "/answer?"+goodQuestion+"&seed=0").Code)
	require.Equal(t, plans+1, h.plans.Load(), "it had to go")

	folder := newTestHandler(t, openSeason(t, season.Demo()))
	require.Equal(t, get(folder, "/plan/1").Body.String(), get(folder, "/plan/1").Body.String())
	require.NotEqual(t, get(folder, "/plan/1").Body.String(), get(folder, "/plan/2").Body.String())
	require.Len(t, folder.pages.all, 2)
}

// TestAskedAtOnce: those who ask the same at once get one answer, which is worked out once; one who
// asked first and goes away does not take the answer from the others.
func TestAskedAtOnce(t *testing.T) {
	h := newTestHandler(t, nil)
	for range cap(h.desk.slots) { // no core is free
		h.desk.slots <- struct{}{}
	}
	ctx, leave := context.WithCancel(t.Context())
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		get(h, "/answer?"+goodQuestion, func(r *http.Request) { *r = *r.WithContext(ctx) })
	}()
	require.Eventually(t, func() bool { return h.desk.waiting.Load() == 1 }, time.Minute, time.Millisecond)
	var all sync.WaitGroup
	answers := make([]*httptest.ResponseRecorder, 8)
	for i := range answers {
		all.Go(func() { answers[i] = get(h, "/answer?"+goodQuestion) })
	}
	leave()
	<-gone
	for range cap(h.desk.slots) {
		<-h.desk.slots
	}
	all.Wait()
	for _, a := range answers {
		require.Equal(t, 200, a.Code)
		require.Contains(t, a.Body.String(), "<svg")
		require.Equal(t, answers[0].Body.String(), a.Body.String())
	}
	require.EqualValues(t, 1, h.plans.Load())
}
