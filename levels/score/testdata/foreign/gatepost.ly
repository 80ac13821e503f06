\version "2.24.0"
\header { title = "Gatepost" }
\score {
  <<
    \new ChordNames \chordmode { s1 g1:7 g1:7 c1:7 g1:7 }
    \new Staff \with { midiInstrument = "harmonica" } {
      \key g \major \time 4/4 \tempo 4 = 96
      r2. d'8 f'8 |
      g'4 \tuplet 3/2 { bes'8 b'8 g'8 } f'4. d'8 |
      g'2 r4 d'8 f'8 |
      g'8 bes'8 c''8 des''8 c''8 bes'8 g'8 f'8 |
      g'2. r4 |
    }
  >>
  \midi { }
}
