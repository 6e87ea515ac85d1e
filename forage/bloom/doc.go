// Package bloom says when plants bloom, from warmth added up day by day.
package bloom
