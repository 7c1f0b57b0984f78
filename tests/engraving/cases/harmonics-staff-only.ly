\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #21.28
    last-bottom-spacing.basic-distance = #95.6
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Bell Buoy, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Bell Buoy, continued" } }    oddFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "Down and up strokes sound alike; only the stressed notes stand out."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Finger and pick arrive together; a click before the note means that one of them is early."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Rests are silent, and exactly as long as they are written."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #9.23 #(make-list 12 (make-list 5 ""))
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
        \fit #174 #0.75 \abs-fontsize #10.5 "Rests are silent, and exactly as long as they are written."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #9.23 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Bell Buoy"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "pluck" "thumb, index, middle, ring") (cons "string" "string") (cons "position" "move to this fret") (cons "harmonic" "harmonic") )
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 76.0) (string-gap . 4.5) (first . 2) (last . 14)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 3 4 5 6 ))
        (used . (5 7 12 ))
(band . (5 . 12))        (dots . ((1 5 "E" used) (1 7 "B" used) (1 12 "E" used) (2 5 "B" used) (2 7 "F♯" used) (2 12 "B" used) (3 5 "G" used) (3 7 "D" used) (3 12 "G" used) (4 5 "D" used) (4 7 "A" used) (4 12 "D" used) (5 5 "A" used) (5 12 "A" used) (6 5 "E" used) (6 12 "E" start) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 6, fret 12: E"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "C major  ·  4/4  ·  plucked with the fingers in turn"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new Dynamics \with \handLane { s1*5/4\handSign "XII" s1*1/2\handSign "VII" s1*5/4\handSign "V" s1*1/4\handSign "XII" s1*1/4\handSign "VII" s1*1/2\handSign "V" }
      \new StaffGroup <<
        \new Staff \with \staffAlone {
          \clef "treble_8" \key c \major \time 4/4
          \stemDown
          e4\6\harmonic^\pluck "i" a4\5\harmonic^\pluck "m" d'4\4\harmonic^\pluck "i" g'4\3\harmonic^\pluck "m" |
          <b'\2\harmonic e''\1\harmonic>4^\pluck "i" <d''\3\harmonic fis''\2\harmonic>4^\pluck "m" a'4\4\harmonic^\pluck "i" a'4\5\harmonic^\pluck "m" |
          \ottava #1 e'4\6\harmonic^\pluck "i" d''4\4\harmonic^\pluck "m" g''4\3\harmonic^\pluck "i" r4 |
          e''4\harmonic^\pluck "m" b''4\1\harmonic^\pluck "i" b''4\2\harmonic^\pluck "m" e'''4\1\harmonic^\pluck "i" |
          \bar "|."
        }
      >>
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/4)
        \override SpacingSpanner.spacing-increment = #1.4
      }
    }
  }}