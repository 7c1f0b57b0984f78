\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #11.55
    last-bottom-spacing.basic-distance = #29.14
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Mooring, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Mooring, continued" } }    oddFooterMarkup = \markup \stack {
      \stack {
        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 4 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }    evenFooterMarkup = \markup \stack {
      \stack {
        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 4 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Mooring"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "accent" "stressed") (cons "finger" "finger") (cons "hammer-on" "hammer on") (cons "pull-off" "pull off") )
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 71.0) (string-gap . 4.5) (first . 0) (last . 11)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 3 6 ))
        (used . (5 6 7 8 9 ))
(band . (5 . 9))(open . #t)        (dots . ((1 0 "E" used) (1 5 "A" used) (1 7 "B" used) (1 8 "C" used) (2 5 "E" used) (2 6 "F" used) (2 8 "G" used) (3 5 "C" start) (3 7 "D" used) (3 9 "E" used) (6 5 "A" used) (6 8 "C" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 3, fret 5: C"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "E minor  ·  4/4  ·  hammer-ons and pull-offs"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key g \major \time 4/4
          \stemDown
          c'16-1->([ d'16 e'16 d'16] c'16[ d'16 e'16 d'16)] e'16-1->([ f'16 g'16 f'16] e'16[ f'16 g'16 f'16)] | \break
          a'16-1->([ b'16 c''16 b'16] e'16-0[ a'16 b'16 a'16)] a,16-1->([ c16 a,16 c16] a,16[ c16 a,16 c16)] | \break
          c'16-1->([ d'16 e'16 d'16] c'16[ d'16 e'16 d'16)] e'16-1->([ f'16 g'16 f'16] e'16[ f'16 g'16 f'16)] | \break
          a'16-1->([ b'16 c''16 b'16] e'16-0[ a'16 b'16 a'16)] a,16-1->([ c16 a,16 c16] a,16[ c16 a,16 c16)] |
          c'2 r2 |
          \bar "|."
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          \slurLane
          c'16\3\strokeDown( d'16\3^\slurLetter #0/1 "H" e'16\3^\slurLetter #1/16 "H" d'16\3^\slurLetter #1/8 "P" c'16\3^\slurLetter #3/16 "P" d'16\3^\slurLetter #1/4 "H" e'16\3^\slurLetter #5/16 "H" d'16\3^\slurLetter #3/8 "P") e'16\2\strokeUp( f'16\2^\slurLetter #1/2 "H" g'16\2^\slurLetter #9/16 "H" f'16\2^\slurLetter #5/8 "P" e'16\2^\slurLetter #11/16 "P" f'16\2^\slurLetter #3/4 "H" g'16\2^\slurLetter #13/16 "H" f'16\2^\slurLetter #7/8 "P") |
          a'16\1\strokeDown( b'16\1^\slurLetter #1/1 "H" c''16\1^\slurLetter #17/16 "H" b'16\1^\slurLetter #9/8 "P" e'16\1^\slurLetter #19/16 "P" a'16\1^\slurLetter #5/4 "H" b'16\1^\slurLetter #21/16 "H" a'16\1^\slurLetter #11/8 "P") a,16\6\strokeUp( c16\6^\slurLetter #3/2 "H" a,16\6^\slurLetter #25/16 "P" c16\6^\slurLetter #13/8 "H" a,16\6^\slurLetter #27/16 "P" c16\6^\slurLetter #7/4 "H" a,16\6^\slurLetter #29/16 "P" c16\6^\slurLetter #15/8 "H") |
          c'16\3\strokeDown( d'16\3^\slurLetter #2/1 "H" e'16\3^\slurLetter #33/16 "H" d'16\3^\slurLetter #17/8 "P" c'16\3^\slurLetter #35/16 "P" d'16\3^\slurLetter #9/4 "H" e'16\3^\slurLetter #37/16 "H" d'16\3^\slurLetter #19/8 "P") e'16\2\strokeUp( f'16\2^\slurLetter #5/2 "H" g'16\2^\slurLetter #41/16 "H" f'16\2^\slurLetter #21/8 "P" e'16\2^\slurLetter #43/16 "P" f'16\2^\slurLetter #11/4 "H" g'16\2^\slurLetter #45/16 "H" f'16\2^\slurLetter #23/8 "P") |
          a'16\1\strokeDown( b'16\1^\slurLetter #3/1 "H" c''16\1^\slurLetter #49/16 "H" b'16\1^\slurLetter #25/8 "P" e'16\1^\slurLetter #51/16 "P" a'16\1^\slurLetter #13/4 "H" b'16\1^\slurLetter #53/16 "H" a'16\1^\slurLetter #27/8 "P") a,16\6\strokeUp( c16\6^\slurLetter #7/2 "H" a,16\6^\slurLetter #57/16 "P" c16\6^\slurLetter #29/8 "H" a,16\6^\slurLetter #59/16 "P" c16\6^\slurLetter #15/4 "H" a,16\6^\slurLetter #61/16 "P" c16\6^\slurLetter #31/8 "H") |
          c'2\3\strokeDownSmall r2 |
        }
      >>
    >>
    \layout {
      
      #(layout-set-staff-size 17)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #1.295
      }
    }
  }}