package app

// FindingsState is station Findings.
type FindingsState struct{}

func (m *Model) updateFindings(msg Msg, in Input) ([]Effect, bool) { return nil, false }
