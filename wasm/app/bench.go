package app

// BenchState is station Bench.
type BenchState struct{}

func (m *Model) updateBench(msg Msg, in Input) ([]Effect, bool) { return nil, false }
