package build

// isMoment says whether s is a date and time with its offset, as in
// 2026-03-14T09:12:00Z or 2026-03-14T10:12:00.5+01:00.
//
// Source: RFC 3339, section 5.6; no leap second, capital T and Z.
func isMoment(s string) bool {
	const shape = "0000-00-00T00:00:00"
	if len(s) <= len(shape) || !shaped(s, shape) {
		return false
	}
	year, month, day := number(s[:4]), number(s[5:7]), number(s[8:10])
	if month < 1 || month > 12 || day < 1 || day > daysIn(year, month) || number(s[11:13]) > 23 || number(s[14:16]) > 59 || number(s[17:19]) > 59 {
		return false
	}
	zone := s[len(shape):]
	if zone[0] == '.' {
		digits := 0
		for digits+1 < len(zone) && zone[digits+1] >= '0' && zone[digits+1] <= '9' {
			digits++
		}
		if digits == 0 {
			return false
		}
		zone = zone[1+digits:]
	}
	if zone == "Z" {
		return true
	}
	return len(zone) == 6 && (zone[0] == '+' || zone[0] == '-') && shaped(zone[1:], "00:00") && number(zone[1:3]) < 24 && number(zone[4:6]) < 60
}

// shaped says whether s begins like shape, in which 0 is any digit.
func shaped(s, shape string) bool {
	for i := range len(shape) {
		if digit := s[i] >= '0' && s[i] <= '9'; shape[i] == '0' && !digit || shape[i] != '0' && s[i] != shape[i] {
			return false
		}
	}
	return true
}

func number(digits string) int {
	n := 0
	for i := range len(digits) {
		n = 10*n + int(digits[i]-'0')
	}
	return n
}

// daysIn is the length of a month of the Gregorian calendar.
func daysIn(year, month int) int {
	switch {
	case month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0):
		return 29
	case month == 2:
		return 28
	case month == 4 || month == 6 || month == 9 || month == 11:
		return 30
	}
	return 31
}
