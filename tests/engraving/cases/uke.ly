\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #13.88
    last-bottom-spacing.basic-distance = #49.05
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Dinghy, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Dinghy, continued" } }    oddFooterMarkup = \markup \stack {
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
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 5 (make-list 5 ""))
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
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 5 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Dinghy"
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
      \mm-width #84.0 \neck-map #'((width . 66.0) (string-gap . 4.5) (first . 0) (last . 6)
        (strings . ("A" "E" "C" "G" ))
        (bold-strings . (1 2 3 4 ))
        (used . (1 2 3 4 ))
(band . (1 . 4))(open . #t)        (dots . ((1 0 "A" used) (1 3 "C" used) (2 0 "E" used) (2 1 "F" used) (2 3 "G" used) (3 0 "C" used) (3 2 "D" used) (3 4 "E" used) (4 0 "G" start) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 4, open: G"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "C major  ·  4/4  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new StaffGroup <<
        \new Staff {
          \clef "treble" \key c \major \time 4/4
          \stemUp
          \tuplet 3/2 { g'8-0->[ c'8-0 e'8-0] } \tuplet 3/2 { a'8[ g'8 d'8] } g'4-> r4 |
          \tuplet 3/2 { c''8-4->[ f'8-2 d'8-3] } \tuplet 3/2 { g'8[ e'8 g'8] } a'4-> r4 | \break
          \tuplet 3/2 { g'8-0->[ c'8-0 e'8-0] } \tuplet 3/2 { a'8[ g'8 d'8] } g'4-> r4 |
          \tuplet 3/2 { c''8-4->[ f'8-2 d'8-3] } \tuplet 3/2 { g'8[ e'8 g'8] } a'4-> r4 | \break
          \tuplet 3/2 { g'8-0->[ c'8-0 e'8-0] } \tuplet 3/2 { a'8[ g'8 d'8] } g'4-> r4 |
          \tuplet 3/2 { c''8-4->[ f'8-2 d'8-3] } \tuplet 3/2 { g'8[ e'8 g'8] } a'4-> r4 |
          \bar "|."
        }
        \new TabStaff \with { stringTunings = \stringTuning <g' c' e' a'> } {
          \tuplet 3/2 { g'8\4\strokeDown c'8\3\strokeUpSmall e'8\2\strokeDownSmall } \tuplet 3/2 { a'8\1\strokeUpSmall g'8\2\strokeDownSmall d'8\3\strokeUpSmall } g'4\4\strokeDown r4 |
          \tuplet 3/2 { c''8\1\strokeDown f'8\2 d'8\3 } \tuplet 3/2 { g'8\4 e'8\3 g'8\2 } a'4\1\strokeDown r4 |
          \tuplet 3/2 { g'8\4\strokeDown c'8\3\strokeUpSmall e'8\2\strokeDownSmall } \tuplet 3/2 { a'8\1\strokeUpSmall g'8\2\strokeDownSmall d'8\3\strokeUpSmall } g'4\4\strokeDown r4 |
          \tuplet 3/2 { c''8\1\strokeDown f'8\2 d'8\3 } \tuplet 3/2 { g'8\4 e'8\3 g'8\2 } a'4\1\strokeDown r4 |
          \tuplet 3/2 { g'8\4\strokeDown c'8\3\strokeUpSmall e'8\2\strokeDownSmall } \tuplet 3/2 { a'8\1\strokeUpSmall g'8\2\strokeDownSmall d'8\3\strokeUpSmall } g'4\4\strokeDown r4 |
          \tuplet 3/2 { c''8\1\strokeDown f'8\2 d'8\3 } \tuplet 3/2 { g'8\4 e'8\3 g'8\2 } a'4\1\strokeDown r4 |
        }
      >>
      \new Lyrics \with \cueLane \lyricmode { \skip 1*3/4 \markup \cue "jaw" 1*1/1 \closingCue \markup \cue "fretting thumb" 1*1/1 \markup \cue "shoulders" 1*1/1 \closingCue \markup \cue "breathe out" 1*1/1 \markup \cue "picking wrist" 1*1/1 \closingCue \markup \cue "jaw" 1*1/4 }
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/12)
        \override SpacingSpanner.spacing-increment = #1.184
      }
    }
  }}