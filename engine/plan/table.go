package plan

// Row is one line of the table now, after, change.
type Row struct {
	Key, Name, Unit    string
	Now, After, Change *float64 // nil: not known
}

// Table sets the numbers of two states side by side; what neither knows is
// left out.
func Table(now, after *Numbers) []Row {
	all := []Row{
		{"exhaust_opens_deg", "exhaust opens", "deg", now.ExhaustOpensDeg, after.ExhaustOpensDeg, nil},
		{"exhaust_duration_deg", "exhaust duration", "deg", now.ExhaustDurationDeg, after.ExhaustDurationDeg, nil},
		{"transfer_opens_deg", "first transfer opens", "deg", now.TransferOpensDeg, after.TransferOpensDeg, nil},
		{"transfer_duration_deg", "first transfer duration", "deg", now.TransferDurationDeg, after.TransferDurationDeg, nil},
		{"blowdown_deg", "blowdown", "deg", now.BlowdownDeg, after.BlowdownDeg, nil},
		{"intake_opens_deg", "intake opens", "deg", now.IntakeOpensDeg, after.IntakeOpensDeg, nil},
		{"intake_duration_deg", "intake duration", "deg", now.IntakeDurationDeg, after.IntakeDurationDeg, nil},
		{"squish_mm", "squish, pin axis", "mm", now.SquishMM, after.SquishMM, nil},
		{"squish_least_mm", "squish, least", "mm", now.SquishLeastMM, after.SquishLeastMM, nil},
		{"squish_velocity_m_s", "squish velocity", "m/s", now.SquishVelocityMS, after.SquishVelocityMS, nil},
		{"chamber_cc", "chamber", "cc", now.ChamberCC, after.ChamberCC, nil},
		{"geometric_ratio", "geometric ratio", "", now.GeometricRatio, after.GeometricRatio, nil},
		{"trapped_ratio", "trapped ratio", "", now.TrappedRatio, after.TrappedRatio, nil},
		{"crankcase_ratio", "crankcase ratio", "", now.CrankcaseRatio, after.CrankcaseRatio, nil},
		{"base_gasket_mm", "base gasket", "mm", now.BaseGasketMM, after.BaseGasketMM, nil},
		{"muffler_outlet_mm2", "muffler outlet", "mm2", now.MufflerOutletMM2, after.MufflerOutletMM2, nil},
		{"exhaust_sta_s_per_m", "exhaust time-area", "s/m", now.ExhaustSTA, after.ExhaustSTA, nil},
		{"blowdown_sta_s_per_m", "blowdown time-area", "s/m", now.BlowdownSTA, after.BlowdownSTA, nil},
		{"transfer_sta_s_per_m", "transfer time-area", "s/m", now.TransferSTA, after.TransferSTA, nil},
		{"intake_sta_s_per_m", "intake time-area", "s/m", now.IntakeSTA, after.IntakeSTA, nil},
	}
	out := all[:0]
	for _, r := range all {
		if r.Now == nil && r.After == nil {
			continue
		}
		if r.Now != nil && r.After != nil {
			r.Change = tidied(*r.After - *r.Now)
		}
		out = append(out, r)
	}
	return out
}
