// Package onset finds where notes start and end.
package onset
