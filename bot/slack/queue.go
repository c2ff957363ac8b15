package slack

import (
	"context"
	"sync"
)

const (
	maxWaiting = 1000 // accepted and not yet answered; above it deliveries stay unacknowledged and Slack sends them again
	maxAtOnce  = 32   // threads worked on at the same time
)

// queue keeps the order of each thread: one job of a key at a time, different keys side by side.
type queue struct {
	ctx     context.Context
	limit   int
	slots   chan struct{}
	mu      sync.Mutex
	lines   map[string][]func(context.Context)
	waiting int
	closed  bool
	done    sync.WaitGroup
}

func newQueue(ctx context.Context, limit, atOnce int) *queue {
	return &queue{ctx: ctx, limit: limit, slots: make(chan struct{}, atOnce), lines: map[string][]func(context.Context){}}
}

// add puts a job at the end of its line and returns at once; false when the queue is full or closed.
func (q *queue) add(key string, job func(context.Context)) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.closed || q.waiting >= q.limit {
		return false
	}
	q.waiting++
	line, busy := q.lines[key]
	q.lines[key] = append(line, job)
	if !busy {
		q.done.Go(func() { q.run(key) })
	}
	return true
}

// run works off one line and ends when it is empty, so that a quiet thread costs nothing.
func (q *queue) run(key string) {
	for {
		q.slots <- struct{}{} // before the job is taken off, so that the waiting ones are counted
		job, ok := q.next(key)
		if ok {
			job(q.ctx)
		}
		<-q.slots
		if !ok {
			return
		}
	}
}

func (q *queue) next(key string) (job func(context.Context), ok bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	line := q.lines[key]
	if len(line) == 0 {
		delete(q.lines, key)
		return nil, false
	}
	q.lines[key] = line[1:]
	q.waiting--
	return line[0], true
}

func (q *queue) length() int {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.waiting
}

// close takes no more jobs and returns when the accepted ones have ended.
func (q *queue) close() {
	q.mu.Lock()
	q.closed = true
	q.mu.Unlock()
	q.done.Wait()
}
