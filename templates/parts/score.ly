  \score {
    <<
[% if music.chords %]
      \new Lyrics \with \chordLane \lyricmode { [[ music.chords ]] }
[% endif %]
[% if music.hand %]
      \new Dynamics \with \handLane { [[ music.hand ]] }
[% endif %]
      \new StaffGroup <<
        \new Staff {
          \clef [[ music.clef|text ]] \key [[ music.key ]] \major \time [[ music.time ]]
          [[ music.staff ]]
        }
        \new TabStaff \with { stringTunings = \stringTuning [[ music.tuning ]] } {
          [[ music.tab ]]
        }
      >>
[% if music.cues %]
      \new Lyrics \with \cueLane \lyricmode { [[ music.cues ]] }
[% endif %]
    >>
    \layout {
      #(layout-set-staff-size [[ page.rung.staff_size ]])
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment [[ music.shortest ]])
        \override SpacingSpanner.spacing-increment = #[[ page.rung.increment ]]
      }
    }
  }
