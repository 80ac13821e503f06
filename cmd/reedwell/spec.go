package main

import (
	"flag"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// specFlags adds the flags that say how a drill is to be played; the function returned
// builds it once they are parsed. The id may name a lick of a lesson: lesson.txt:2.
func specFlags(flags *flag.FlagSet) func(id string) (drill.Drill, error) {
	var spec drill.Spec
	keySet := false
	flags.Func("harp", "`key` of the harp: C, Bb, low D ...; C, or a lesson's own, without it", func(text string) (err error) {
		spec.Key, err = harp.ParseKey(text)
		keySet = err == nil
		return err
	})
	flags.Float64Var(&spec.Tempo, "tempo", 0, "quarter notes a minute; 0 is the drill's own")
	flags.Float64Var(&spec.A4, "a4", 440, "reference pitch in Hz, 430 to 450")
	flags.TextVar(&spec.Tuning, "tuning", harp.Equal, "`tuning` of the harp: equal, just, compromise ...")
	position := flags.Int("position", 0, "playing position; 0 is the drill's own")
	return func(id string) (drill.Drill, error) {
		spec.ID, spec.Position = id, harp.Position(*position)
		if d, ok, err := lessonDrill(id, spec, keySet, flags.Output()); ok {
			return d, err
		}
		return drill.Build(spec)
	}
}
