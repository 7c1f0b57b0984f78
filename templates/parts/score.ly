  \score {
    <<
[% if music.chords %]
      \new Lyrics \with \chordLane \lyricmode { [[ music.chords ]] }
[% endif %]
[% if music.hand %]
      \new Dynamics \with \handLane { [[ music.hand ]] }
[% endif %]
      \new StaffGroup <<
[% if music.staff %]
        \new Staff[% if music.alone %] \with \staffAlone[% endif %] {
          \clef [[ music.clef|text ]] \key [[ music.key ]] \major \time [[ music.time ]]
          [[ music.staff ]]
        }
[% endif %]
[% if music.tab %]
        \new TabStaff \with {[% if music.alone %] \tabAlone[% endif %] stringTunings = \stringTuning [[ music.tuning ]] } {
[% if music.alone %]
          \tabValues \time [[ music.time ]]
[% endif %]
          [[ music.tab ]]
        }
[% endif %]
      >>
[% if music.cues %]
      \new Lyrics \with [% if music.alone %]{ \cueLane \nearCues }[% else %]\cueLane[% endif %] \lyricmode { [[ music.cues ]] }
[% endif %]
    >>
    \layout {
[% if music.tab and music.alone %]
      \context { \TabVoice \consists Fingering_engraver \consists New_fingering_engraver \omit StringNumber }
[% endif %]
      [[ layout|default("") ]]
      #(layout-set-staff-size [[ page.rung.staff_size ]])
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment [[ music.shortest ]])
        \override SpacingSpanner.spacing-increment = #[[ page.rung.increment ]]
      }
    }
  }
