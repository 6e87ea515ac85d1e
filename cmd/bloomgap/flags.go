package main

import (
	"fmt"
	"strings"
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

// dayNamed reads --today: a day, or now for that of the clock; zero for none.
func (c *console) dayNamed(text string) (time.Time, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "":
		return time.Time{}, nil
	case "now", "today":
		return c.today(), nil
	}
	return parseDay("--today", strings.TrimSpace(text))
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
