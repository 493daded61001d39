package app

// Intents of station Bench.
type (
	// BenchType is one key of the keypad: "0" to "9", ".", "half", "erase".
	BenchType struct{ Key string }

	// BenchKeep keeps the typed value. Sure keeps an odd value all the same.
	BenchKeep struct{ Sure bool }

	// BenchSkip leaves the question and asks the next.
	BenchSkip struct{}

	// BenchStep goes one question back (-1) or on (+1).
	BenchStep struct{ By int }

	// BenchGo goes to a question.
	BenchGo struct{ Step string }

	// BenchPanel opens a panel, or closes it when it is open.
	BenchPanel struct{ Panel Panel }

	// BenchChip asks what is to be done with a kept reading.
	BenchChip struct{ ID string }

	// BenchStrike strikes a kept reading out.
	BenchStrike struct{ ID, Reason string }

	// BenchUnstrike lets a struck reading count again.
	BenchUnstrike struct{ ID string }

	// BenchMethod chooses how the edge is seen; FeelerMM 0 leaves the feeler.
	BenchMethod struct {
		Method   string
		FeelerMM float64
	}

	// BenchQuarter says which quarter of the turn the pointer is in.
	BenchQuarter struct{ Quarter int }

	// BenchSide overrules the piston's direction; "" goes back to the event's.
	BenchSide struct{ Side string }

	// BenchUnit chooses the unit of depths: "", "in", "thou".
	BenchUnit struct{ Unit string }

	// BenchNear chooses the dead centre of the next stop check.
	BenchNear struct{ Near string }

	// BenchMode chooses how much of the pass is asked.
	BenchMode struct{ Mode Mode }

	// BenchMore asks for more than was asked: "stops", "closes", "repeats" or
	// another of the findings' needs that the bench answers.
	BenchMore struct{ What string }

	// BenchHabit chooses the habit of a pass that holds no reading yet.
	BenchHabit struct{ Habit string }

	// BenchPass takes another pass in hand.
	BenchPass struct{ Pass string }

	// BenchNewPass begins another pass; Habit "" keeps the one in hand's.
	BenchNewPass struct {
		Name     string
		Cylinder int
		Habit    string
	}

	// BenchWindows makes a usual set of windows; see WindowSets.
	BenchWindows struct{ Set string }

	// TakeBack undoes the last thing done in the open build, PutBack the last
	// TakeBack.
	TakeBack struct{}
	PutBack  struct{}
)

func (BenchType) msg()     {}
func (BenchKeep) msg()     {}
func (BenchSkip) msg()     {}
func (BenchStep) msg()     {}
func (BenchGo) msg()       {}
func (BenchPanel) msg()    {}
func (BenchChip) msg()     {}
func (BenchStrike) msg()   {}
func (BenchUnstrike) msg() {}
func (BenchMethod) msg()   {}
func (BenchQuarter) msg()  {}
func (BenchSide) msg()     {}
func (BenchUnit) msg()     {}
func (BenchNear) msg()     {}
func (BenchMode) msg()     {}
func (BenchMore) msg()     {}
func (BenchHabit) msg()    {}
func (BenchPass) msg()     {}
func (BenchNewPass) msg()  {}
func (BenchWindows) msg()  {}
func (TakeBack) msg()      {}
func (PutBack) msg()       {}
