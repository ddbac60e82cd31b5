package plan

import "time"

// Span is a waiting time. Months are calendar months; days are calendar days unless they are working days.
type Span struct {
	Months, Days, WorkingDays int
}

// Zero says that no time passes.
func (s Span) Zero() bool { return s == Span{} }

// After is the day on which a span that begins on a day is over. Months first, clamped to the last day of the month;
// then days; then working days, Monday to Friday, a start on a weekend counting from the Monday.
func (s Span) After(day time.Time) time.Time {
	day = addMonths(day, s.Months).AddDate(0, 0, s.Days)
	if s.WorkingDays > 0 {
		day = AddWorkingDays(day, s.WorkingDays)
	}
	return day
}

// Before is the latest day on which the span can begin so that it is over by the given day.
func (s Span) Before(day time.Time) time.Time {
	// After never decreases, so the latest start is found by stepping back from a guess that is late enough: weekends
	// and months of different lengths can put it up to a week behind the plain difference.
	start := addMonths(day, -s.Months).AddDate(0, 0, -s.Days-s.WorkingDays*7/5+9)
	for s.After(start).After(day) {
		start = start.AddDate(0, 0, -1)
	}
	return start
}

// addMonths keeps to the last day of a shorter month: 31 January and one month is 28 February.
func addMonths(day time.Time, months int) time.Time {
	first := time.Date(day.Year(), day.Month()+time.Month(months), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return time.Date(first.Year(), first.Month(), min(day.Day(), last), 0, 0, 0, 0, time.UTC)
}

// AddWorkingDays goes on by working days, Monday to Friday; public holidays are not known. A start on a weekend is
// first moved to the Monday, as NumPy's busday_offset does with roll='forward'.
func AddWorkingDays(day time.Time, days int) time.Time {
	for weekend(day) {
		day = day.AddDate(0, 0, 1)
	}
	for ; days > 0; days-- {
		day = day.AddDate(0, 0, 1)
		for weekend(day) {
			day = day.AddDate(0, 0, 1)
		}
	}
	return day
}

func weekend(day time.Time) bool {
	return day.Weekday() == time.Saturday || day.Weekday() == time.Sunday
}

// DaysBetween counts calendar days from one day to another.
func DaysBetween(from, to time.Time) int { return int(to.Sub(from).Hours() / 24) }
