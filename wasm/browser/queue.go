package browser

import "sync"

// queue runs jobs one after the other, in the order in which they were added,
// on one goroutine that lives while there is something to do.
type queue struct {
	mu      sync.Mutex
	jobs    []func()
	running bool
}

func (q *queue) add(job func()) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.jobs = append(q.jobs, job)
	if q.running {
		return
	}
	q.running = true
	go q.work()
}

func (q *queue) work() {
	for {
		q.mu.Lock()
		if len(q.jobs) == 0 {
			q.running = false
			q.mu.Unlock()
			return
		}
		job := q.jobs[0]
		q.jobs = q.jobs[1:]
		q.mu.Unlock()
		job()
	}
}

// latest keeps the newest value per key while one is being written, so that
// fast typing neither piles up writes nor lets an older value win.
type latest[T any] struct {
	mu      sync.Mutex
	waiting map[string]T
	order   []string
	running bool
	write   func(key string, v T)
}

func newLatest[T any](write func(key string, v T)) *latest[T] {
	return &latest[T]{waiting: map[string]T{}, write: write}
}

func (l *latest[T]) set(key string, v T) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if _, ok := l.waiting[key]; !ok {
		l.order = append(l.order, key)
	}
	l.waiting[key] = v
	if l.running {
		return
	}
	l.running = true
	go l.work()
}

// take hands over the value that waits, so that it is written otherwise. One
// that is being written already goes on.
func (l *latest[T]) take(key string) (v T, ok bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	v, ok = l.waiting[key]
	delete(l.waiting, key)
	return v, ok
}

// back takes a value back that could not be written otherwise, unless there is
// a newer one.
func (l *latest[T]) back(key string, v T) {
	l.mu.Lock()
	_, newer := l.waiting[key]
	l.mu.Unlock()
	if !newer {
		l.set(key, v)
	}
}

func (l *latest[T]) work() {
	for {
		l.mu.Lock()
		if len(l.order) == 0 {
			l.running = false
			l.mu.Unlock()
			return
		}
		key := l.order[0]
		l.order = l.order[1:]
		v, ok := l.waiting[key]
		delete(l.waiting, key)
		l.mu.Unlock()
		if ok {
			l.write(key, v)
		}
	}
}
