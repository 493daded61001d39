package render

import "sync"

// turns lets one thing happen at a time. Whoever posts while a turn is taken
// leaves the job to its owner and goes on; only Lock of an EventEnv waits.
type turns struct {
	mu      sync.Mutex
	taken   bool
	jobs    []func()
	waiting []chan struct{}
}

// post queues a job and says whether the caller now has the turn and must work.
func (t *turns) post(job func()) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.jobs = append(t.jobs, job)
	if t.taken {
		return false
	}
	t.taken = true
	return true
}

// next hands the owner of the turn the next job, nil when there is none.
func (t *turns) next() func() {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.jobs) == 0 {
		t.jobs = nil
		return nil
	}
	job := t.jobs[0]
	t.jobs[0] = nil
	t.jobs = t.jobs[1:]
	return job
}

// leave ends the turn, or hands it to who waits longest. It returns false when
// a job came in meanwhile: then the owner goes on working.
func (t *turns) leave() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.jobs) > 0 {
		return false
	}
	if len(t.waiting) > 0 {
		first := t.waiting[0]
		t.waiting = t.waiting[1:]
		close(first)
		return true
	}
	t.taken = false
	return true
}

// enter waits for the turn and takes it.
func (t *turns) enter() {
	t.mu.Lock()
	if !t.taken {
		t.taken = true
		t.mu.Unlock()
		return
	}
	mine := make(chan struct{})
	t.waiting = append(t.waiting, mine)
	t.mu.Unlock()
	<-mine
}
