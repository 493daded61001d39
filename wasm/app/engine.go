package app

// EngineState is station Engine.
type EngineState struct{}

func (m *Model) updateEngine(msg Msg, in Input) ([]Effect, bool) { return nil, false }
