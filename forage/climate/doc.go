// Package climate makes springs out of monthly normals, for a place without a
// daily record.
package climate
