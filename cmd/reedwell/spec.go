package main

import (
	"flag"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// specFlags adds the flags that say how a drill is to be played; the function returned
// builds it once they are parsed.
func specFlags(flags *flag.FlagSet) func(id string) (drill.Drill, error) {
	var spec drill.Spec
	flags.TextVar(&spec.Key, "harp", harp.Key{}, "`key` of the harp: C, Bb, low D ...")
	flags.Float64Var(&spec.Tempo, "tempo", 0, "quarter notes a minute; 0 is the drill's own")
	flags.Float64Var(&spec.A4, "a4", 440, "reference pitch in Hz, 430 to 450")
	flags.TextVar(&spec.Tuning, "tuning", harp.Equal, "`tuning` of the harp: equal, just, compromise ...")
	position := flags.Int("position", 0, "playing position; 0 is the drill's own")
	return func(id string) (drill.Drill, error) {
		spec.ID, spec.Position = id, harp.Position(*position)
		return drill.Build(spec)
	}
}
