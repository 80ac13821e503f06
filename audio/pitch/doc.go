// Package pitch measures the pitch of one short window of sound.
package pitch
