package main

import (
	"fmt"
	"time"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

func parseDay(flag, text string) (time.Time, error) {
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, usageError{fmt.Errorf("%s %q is not a day; write it as 2027-03-20", flag, text)}
	}
	return d, nil
}

func setStrength(s *season.Settings, text string) error {
	if text == "" || text == "choose" {
		return nil
	}
	strength, err := syrup.Parse(text)
	if err != nil {
		return usageError{fmt.Errorf("--strength: %w", err)}
	}
	s.Strength = strength
	return nil
}
