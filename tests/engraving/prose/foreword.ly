\bookpart {
  \paper { ragged-last-bottom = ##t ragged-bottom = ##t
    oddHeaderMarkup = \markup \mm-space #7.5 evenHeaderMarkup = \markup \mm-space #7.5
    last-bottom-spacing = #'((basic-distance . 0) (padding . 1) (stretchability . 0)) }
  \markup \stack { \headed \heading #174 #26 #18 "A \"Foreword\" with \\backslash" \mm-space #5 }
  \markuplist \prose-lines #37.6 #136.4 #11.0 #15.0 #2.2 \null \null #(list (list "Some" (make-italic-markup "slanted") "and" (make-bold-markup "bold") "words," (make-concat-markup (list "glued" (make-bold-markup "together") ",")) "and" (make-sans-markup "#(exit") (make-concat-markup (list (make-sans-markup "3)") ".")) (make-with-url-markup "https://harbourlane.example/a" "A") (make-with-url-markup "https://harbourlane.example/a" "page") (make-with-url-markup "https://harbourlane.example/a" "(harbourlane.example/a)") "to" "read." "Hard") (list "break."))
  \markuplist \prose-lines #44.1 #129.9 #11.0 #15.0 #0.0 "•" \stack { \mm-space #7.0 \concat { \mm-gap #0.0 \headed \heading #174 #14.0 #12.0 "Heading two" } \mm-space #2.2 \mm-space #0.5 \concat { \mm-gap #37.6 \headed \heading #136.4 #11.5 #10.0 "Heading three" } \mm-space #1.4 } #(list (list "one"))
  \markuplist \prose-lines #50.6 #123.4 #11.0 #15.0 #1.2 "1." \null #(list (list "first"))
  \markuplist \prose-lines #50.6 #123.4 #11.0 #15.0 #1.2 "2." \null #(list (list "second"))
  \markuplist \prose-lines #44.1 #129.9 #11.0 #15.0 #2.2 \null \null #(list (list "said" "by" "somebody"))
  \markup \stack { \null \mm-space #3.5 \prose-row #10.0 #13.0 #0.3 #(list (list 37.6 8.0 'left (list (make-bold-markup "a"))) (list 49.6 8.0 'right (list (make-bold-markup "b")))) \prose-row #10.0 #13.0 #0.12 #(list (list 37.6 8.0 'left (list (make-italic-markup "x"))) (list 49.6 8.0 'right (list "22"))) }
  \markup \mm-space #3.5
  \markup \stack { \null \mm-space #4.0 \concat { \mm-gap #37.6 \mm-rule #30 #0.2 } \mm-space #4.0 }
  \markuplist \prose-score #2.0 \stack { \null \mm-space #4.0 \concat { \mm-gap #37.6 \with-url #"mark:ferry-steps-s3f7" \concat { \abs-fontsize #9 \sans \cut-to #122.4 #0.85 "Ferry Steps, bar 2  ·  ferry-steps-s3f7" \mm-gap #3 \abs-fontsize #9 \sans \bold "100" } } } ##{ \score {
    <<
      \new Lyrics \with \chordLane \lyricmode { \markup \chord-name #'("Gm") 1*1/1 }
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key f \major \time 4/4
          \stemDown
          bes16-4->[ c'16-2 d'16-4 c'16] bes16[ c'16 d'16 c'16] bes4-> r4 |
          \bar "|"
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          bes16\3\strokeDown c'16\3\strokeUpSmall d'16\3\strokeDownSmall c'16\3\strokeUpSmall bes16\3\strokeDownSmall c'16\3\strokeUpSmall d'16\3\strokeDownSmall c'16\3\strokeUpSmall bes4\3\strokeDown r4 |
        }
      >>
      \new Lyrics \with \cueLane \lyricmode { \skip 1*3/4 \closingCue \markup \cue "fretting thumb" 1*1/4 }
    >>
    \layout {
      indent = 37.6\mm short-indent = 37.6\mm ragged-right = ##t
      #(layout-set-staff-size 16.0)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #1.504
      }
    }
  } #}
}