package reeds

// What makes a reed off, slow or leaking, and what a held note is: all in one place.
const (
	// OffCents is how far from the best-fitting tuning a reed counts as off. Tunings differ on
	// purpose by up to 30 cents (Hansson 2004; so the fit comes first), one octave harp
	// may be stretched by 2 cents an octave (the same; so the stretch is taken out), and
	// playing harder flattens a reed by up to about 10 (common practice, no source for the size).
	// Ten cents at A4 make octaves beat 5 times in two seconds.
	OffCents = 10.0
	// SlowSeconds and SlowTimes: a reed is slow when it rises from a fifth to seven tenths
	// of its amplitude in more than both: this time, and this many times what the reeds around it
	// take. A whole rise is 20 to 60 ms in the middle of the harp (common practice, no
	// source), of which this part is a third, and the ear's window adds about 20 ms: so
	// it is 2 to 3 times the slowest usual. Our choice.
	SlowSeconds, SlowTimes = 0.08, 2.0
	// LeakFlutter: a reed leaks when its tone colour flutters, as noise makes it, by this much more (in
	// squares, as noises add) than that of the reeds around it: octaves of the spectrum's centroid between windows 20 ms
	// apart, median. Over LeakHz the limit falls in proportion, down to LeastFlutter: fewer partials lie in
	// the band, and the noise among them moves the centroid less. Measured so on 100 reeds: with noise 13 dB under
	// the tone 0.031 to 0.042, but for 0.017 on a top reed of 3.1 kHz in noise; without, up to 0.010.
	// Where the reeds around flutter by more than NoisyFlutter already, hiss can't be told from noise around.
	LeakFlutter, LeakHz, LeastFlutter, NoisyFlutter = 0.020, 1000.0, 0.014, 0.035
	// AlongDB and AlongShare: another hole sounds along when it is heard at more than this
	// level, relative to the reed, in this share of the held part of every try. Our choice: at 20 dB
	// under the ear of package listen still names it nearly always, and wrongly nearly never.
	AlongDB, AlongShare = -20.0, 0.5

	// Times is how often each reed is asked for. Two, since one alone may be bent without
	// the player knowing; a third is asked for when they differ by more than AgreeCents, half of what is called off.
	Times      = 2
	AgreeCents = 5.0
	// HoldSeconds is how long a note is to be held: forty times that and as much again for breath
	// are two minutes. EnoughSeconds is taken too when it ends by itself.
	HoldSeconds, EnoughSeconds = 1.5, 0.8
	// settleSeconds after it speaks a reed's pitch is taken: reeds settle within 50 ms (common practice, no source), a
	// player within a few times that.
	settleSeconds = 0.15
	// SteadyCents is the most that the middle eight tenths of a held note may wander.
	SteadyCents = 12.0
	// RestEvery reeds a rest of RestSeconds is shown, which playing on cuts short.
	RestEvery, RestSeconds = 4, 4.0
	// EnoughReeds is how many reeds a tuning is fitted to.
	EnoughReeds = 8

	// expectA4 is what an unknown harp is expected at, in Hz: the middle of what makers tune to (Hansson 2004, 442 to 444).
	expectA4 = 443.0
)
