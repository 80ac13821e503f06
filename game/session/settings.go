package session

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"unicode/utf8"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/reeds"
)

// Settings are what the player has chosen. They are kept from one day to the next.
type Settings struct {
	Version int              `json:"version"`
	Ready   bool             `json:"ready"` // the first run was gone through
	Key     harp.Key         `json:"key"`
	Tuning  harp.Tuning      `json:"tuning"`
	A4      float64          `json:"a4"`
	Profile harp.Profile     `json:"profile,omitzero"` // of Own, as measured
	Own     string           `json:"own,omitempty"`    // the kept harp in hand; empty: none of them
	Phones  bool             `json:"headphones"`
	Mic     string           `json:"microphone,omitempty"` // the device's own name for it; empty is the system's choice
	Out     string           `json:"loudspeaker,omitempty"`
	Volume  Volume           `json:"volume,omitempty"`
	Large   bool             `json:"large"`
	Still   bool             `json:"still"`
	Paper   string           `json:"paper"` // "", "light" or "dark": "" is as the system says
	Family  drill.Family     `json:"family"`
	Delays  map[string]Delay `json:"delays,omitempty"` // by device
}

// A Delay is a measured round trip.
type Delay struct {
	Seconds  float64 `json:"seconds"`
	SpreadMS float64 `json:"spread_ms"`
	Clicks   bool    `json:"clicks,omitempty"`
}

const settingsVersion = 1

// maxDelays bounds what is kept: more devices than anybody plugs in.
const maxDelays = 32

// maxMic bounds a microphone's name in bytes: browsers use 64, desktops up to 512.
const maxMic = 1024

// Errors of DecodeSettings.
var (
	ErrDamaged = errors.New("the settings can not be read")
	ErrNewer   = errors.New("the settings were written by a newer version")
)

// DefaultSettings are those of a first run: a C harp, since most beginners have one
// (common practice, no source), on headphones.
func DefaultSettings() Settings {
	return Settings{Version: settingsVersion, A4: 440, Phones: true, Family: drill.Single}
}

// Harp is the player's harp.
func (s Settings) Harp() harp.Harp {
	return harp.Harp{Key: s.Key, Tuning: s.Tuning, A4: s.A4, Profile: s.Profile}
}

// Encode writes the settings.
func (s Settings) Encode() []byte {
	s.Version = settingsVersion
	b, err := json.Marshal(s)
	if err != nil {
		panic("session: settings that can not be written: " + err.Error())
	}
	return b
}

// DecodeSettings reads what Encode writes. Otherwise it returns the default and an
// error that wraps ErrDamaged or ErrNewer.
func DecodeSettings(data []byte) (Settings, error) {
	var head struct{ Version int }
	if err := json.Unmarshal(data, &head); err != nil {
		return DefaultSettings(), fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	if head.Version > settingsVersion {
		return DefaultSettings(), fmt.Errorf("%w: version %d", ErrNewer, head.Version)
	}
	if head.Version != settingsVersion {
		return DefaultSettings(), fmt.Errorf("%w: version %d", ErrDamaged, head.Version)
	}
	s := DefaultSettings()
	if err := json.Unmarshal(data, &s); err != nil {
		return DefaultSettings(), fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	if err := s.validate(); err != nil {
		return DefaultSettings(), fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	return s, nil
}

func (s Settings) validate() error {
	if s.Version != settingsVersion {
		return fmt.Errorf("version %d", s.Version)
	}
	if err := s.Harp().Validate(); err != nil {
		return err
	}
	if s.Paper != "" && s.Paper != "light" && s.Paper != "dark" {
		return fmt.Errorf("paper %q", s.Paper)
	}
	if err := s.Volume.validate(); err != nil {
		return err
	}
	known := false
	for _, f := range drill.Families() {
		known = known || f == s.Family
	}
	if !known {
		return fmt.Errorf("family %q", s.Family)
	}
	if utf8.RuneCountInString(s.Own) > reeds.MaxName {
		return fmt.Errorf("a harp's name of %d letters", utf8.RuneCountInString(s.Own))
	}
	if len(s.Mic) > maxMic {
		return fmt.Errorf("a microphone's name of %d bytes", len(s.Mic))
	}
	if len(s.Out) > maxMic {
		return fmt.Errorf("a loudspeaker's name of %d bytes", len(s.Out))
	}
	if len(s.Delays) > maxDelays {
		return fmt.Errorf("%d delays", len(s.Delays))
	}
	for _, d := range s.Delays {
		// The window a round trip is looked for in ends at 0.6 s.
		if !(d.Seconds > -0.01 && d.Seconds < 1) || math.IsNaN(d.SpreadMS) {
			return fmt.Errorf("delay %g s", d.Seconds)
		}
	}
	return nil
}

// remember returns the settings with a device's delay; the map is a new one.
func (s Settings) remember(key string, d Delay) Settings {
	old := s.Delays
	s.Delays = map[string]Delay{key: d}
	for k, v := range old {
		if k != key && len(s.Delays) < maxDelays {
			s.Delays[k] = v
		}
	}
	return s
}
