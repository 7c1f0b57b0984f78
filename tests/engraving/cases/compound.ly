\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #10.47
    last-bottom-spacing.basic-distance = #78.42
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Gangway, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Gangway, continued" } }    oddFooterMarkup = \markup \stack {
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
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #6.48 #(make-list 12 (make-list 5 ""))
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
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #6.48 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Gangway"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \fit #174 #0.8 \concat {
      \abs-fontsize #9 \sans "Play it five times. Five clean in a row: fill a circle, take the next tempo."
      \mm-gap #6
      \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "accent" "stressed") (cons "finger" "finger") )
    }
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 76.0) (string-gap . 4.5) (first . 2) (last . 12)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (3 4 ))
        (used . (5 7 9 10 ))
(band . (5 . 10))        (dots . ((3 5 "C" used) (3 7 "D" used) (3 9 "E" used) (3 10 "F" used) (4 5 "G" start) (4 7 "A" used) (4 9 "B" used) (4 10 "C" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 4, fret 5: G"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "G major  ·  6/8  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #4 #1 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key g \major \time 6/8
          \stemDown
          g16-2->[ a16-4 b16-2 c'16 b16 a16] g4.-> |
          g16-2->[ a16-4 b16-2 c'16 b16 a16] b4.-> | \break
          c'16-2->[ d'16-4 e'16-2 d'16 e'16 f'16] c'4.-> |
          c'16-2->[ d'16-4 e'16-2 d'16 e'16 f'16] c'4.-> |
          \bar "|."
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          g16\4\strokeDown a16\4\strokeUpSmall b16\4\strokeDownSmall c'16\4\strokeUpSmall b16\4\strokeDownSmall a16\4\strokeUpSmall g4.\4\strokeDown |
          g16\4\strokeDown a16\4 b16\4 c'16\4 b16\4 a16\4 b4.\4\strokeDown |
          c'16\3\strokeDown d'16\3\strokeUpSmall e'16\3\strokeDownSmall d'16\3\strokeUpSmall e'16\3\strokeDownSmall f'16\3\strokeUpSmall c'4.\3\strokeDown |
          c'16\3\strokeDown d'16\3 e'16\3 d'16\3 e'16\3 f'16\3 c'4.\3\strokeDown |
        }
      >>
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #1.503
      }
    }
  }}