package sheet

// Cautions, each where its risk arises. They defer to the law of the place, the
// maker and people who are qualified.
var (
	beforeReading = []string{
		"Spark disabled, plug out, fuel drained; bar and chain or blade off.",
		"Hold the engine by its base. Never use the starter against a stop.",
	}
	beforeCutting = []string{
		"Eyes, ears and a dust mask: plating dust is harmful.",
		"Metal does not come back: take the first bite, read again, then go on.",
		"Chamfer every edge that a ring passes and clean all of it before the engine turns again.",
	}
	beforeRunning = []string{
		"Over-revving and a flywheel or chain above its speed can kill: keep to the maker's limits.",
		"A changed engine may break rules on emission, noise, spark arresters, class or warranty: check local law and the maker.",
		"Have the work checked by a qualified person before the engine runs. An aim or estimate is not a reading.",
	}
)
