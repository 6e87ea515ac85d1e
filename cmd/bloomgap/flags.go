package main

import (
	"fmt"
	"time"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// parseDay reads the day that a flag gives.
func parseDay(flag, text string) (time.Time, error) {
	d, err := season.ParseDay(flag, text)
	if err != nil {
		return time.Time{}, usageError{err}
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
