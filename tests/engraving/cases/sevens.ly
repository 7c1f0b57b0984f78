\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #12.86
    last-bottom-spacing.basic-distance = #74.26
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Sevens, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Sevens, continued" } }    oddFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "Down and up strokes sound alike; only the stressed notes stand out."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Finger and pick arrive together; a click before the note means that one of them is early."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Every burst ends as loosely as it began, and the landing rings for its full length."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Rests are silent, and exactly as long as they are written."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.87 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }    evenFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "Down and up strokes sound alike; only the stressed notes stand out."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Finger and pick arrive together; a click before the note means that one of them is early."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Every burst ends as loosely as it began, and the landing rings for its full length."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Rests are silent, and exactly as long as they are written."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.87 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Sevens"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \fit #174 #0.8 \concat {
      \abs-fontsize #9 \sans "Play it five times. Five clean in a row: fill a circle, take the next tempo."
      \mm-gap #6
      \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "accent" "stressed") (cons "finger" "finger") (cons "cue" "let go here") )
    }
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 76.0) (string-gap . 4.5) (first . 2) (last . 10)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (2 ))
        (used . (5 7 8 ))
(band . (5 . 8))        (dots . ((2 5 "E" start) (2 7 "G♭" used) (2 8 "G" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 2, fret 5: E"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "E minor  ·  7/8 (2+2+3)  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #8 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key g \major \time 7/8
          \stemDown
          \tuplet 7/4 { e'32-2->[ ges'32-4 g'32-1 ges'32 e'32 ges'32 g'32] } e'8-> r4 r4. |
          \tuplet 7/4 { g'32-1->[ ges'32-4 e'32-2 ges'32 g'32 ges'32 e'32] } g'8-> r4 r4. | \break
          \tuplet 7/4 { e'32-2->[ g'32-1 ges'32-4 g'32 e'32 g'32 ges'32] } e'8-> r4 r4. |
          \tuplet 7/4 { e'32-2->[ ges'32-4 e'32-2 g'32 e'32 ges'32 g'32] } e'8-> r4 r4. |
          \bar "|."
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          \tuplet 7/4 { e'32\2\strokeDown ges'32\2\strokeUpSmall g'32\2\strokeDownSmall ges'32\2\strokeUpSmall e'32\2\strokeDownSmall ges'32\2\strokeUpSmall g'32\2\strokeDownSmall } e'8\2\strokeDown r4 r4. |
          \tuplet 7/4 { g'32\2\strokeDown ges'32\2\strokeUpSmall e'32\2\strokeDownSmall ges'32\2\strokeUpSmall g'32\2\strokeDownSmall ges'32\2\strokeUpSmall e'32\2\strokeDownSmall } g'8\2\strokeDown r4 r4. |
          \tuplet 7/4 { e'32\2\strokeDown g'32\2\strokeUpSmall ges'32\2\strokeDownSmall g'32\2\strokeUpSmall e'32\2\strokeDownSmall g'32\2\strokeUpSmall ges'32\2\strokeDownSmall } e'8\2\strokeDown r4 r4. |
          \tuplet 7/4 { e'32\2\strokeDown ges'32\2\strokeUpSmall e'32\2\strokeDownSmall g'32\2\strokeUpSmall e'32\2\strokeDownSmall ges'32\2\strokeUpSmall g'32\2\strokeDownSmall } e'8\2\strokeDown r4 r4. |
        }
      >>
      \new Lyrics \with \cueLane \lyricmode { \skip 1*1/4 \markup \cue "jaw" 1*7/8 \closingCue \markup \cue "fretting thumb" 1*7/8 \markup \cue "shoulders" 1*7/8 \closingCue \markup \cue "breathe out" 1*5/8 }
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/56)
        \override SpacingSpanner.spacing-increment = #0.85
      }
    }
  }}