\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #29.59
    last-bottom-spacing.basic-distance = #77.11
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Harbour Lights, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Harbour Lights, continued" } }    oddFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "The click disappears behind the note."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #7.16 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }    evenFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "The click disappears behind the note."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #7.16 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Harbour Lights"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it round five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "accent" "stressed") (cons "barre" "barre") (cons "shape" "not played, open, finger") (cons "kept" "finger stays down") )
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 55.0) (string-gap . 4.5) (first . 0) (last . 5)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 3 4 5 6 ))
        (used . (1 2 3 ))
(band . (1 . 3))(open . #t)        (dots . ((1 0 "E" used) (1 1 "F" used) (2 0 "B" used) (2 1 "C" used) (3 0 "G" used) (3 2 "A" used) (4 0 "D" used) (4 2 "E" used) (4 3 "F" used) (5 0 "A" used) (5 2 "B" used) (5 3 "C" start) (6 1 "F" used) (6 3 "G" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 5, fret 3: C"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "C major  ·  4/4  ·  strummed"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new Lyrics \with \chordLane \lyricmode { \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((2 1 1 #f) (4 2 2 #f) (5 3 3 #f))) (barres . ()) (open . (1 3)) (muted . (6))) #'("C") 1*1/2 \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((2 1 1 #t) (3 2 3 #f) (4 2 2 #t))) (barres . ()) (open . (1 5)) (muted . (6))) #'("Am") 1*1/2 \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((3 2 2 #f) (4 3 4 #f) (5 3 3 #f) (6 1 1 #f))) (barres . ((6 1 1))) (open . ()) (muted . ())) #'("F") 1*1/2 \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((1 1 1 #t) (5 2 2 #f) (6 3 3 #f))) (barres . ()) (open . (2 3 4)) (muted . ())) #'("G7") 1*1/2 \markup \chord-name #'("C") 1*1/2 \markup \chord-name #'("Am") 1*1/2 \markup \chord-name #'("F") 1*1/2 \markup \chord-name #'("G7") 1*1/2 }
      \new Dynamics \with \handLane { s1*3/1 s1*1/4\barreFrom "C I" s1*3/4\stopTextSpan }
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key c \major \time 4/4
          \bar ".|:"
          \stemUp
          <c e g c' e'>4-> <c e g c' e'>4 <a, e a c' e'>4 <a, e a c' e'>4 |
          <f, c f a c' f'>4-> <f, c f a c' f'>4 <g, b, d g b f'>4 <g, b, d g b f'>4 |
          <c e g c' e'>4-> <c e g c' e'>4 <a, e a c' e'>4 <a, e a c' e'>4 |
          <f, c f a c' f'>4-> <f, c f a c' f'>4 <g, b, d g b f'>4 <g, b, d g b f'>4 |
          \bar ":|."
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          <c\5 e\4 g\3 c'\2 e'\1>4\strokeDown <c\5 e\4 g\3 c'\2 e'\1>4\strokeUpStrum <a,\5 e\4 a\3 c'\2 e'\1>4\strokeDownStrum <a,\5 e\4 a\3 c'\2 e'\1>4\strokeUpStrum |
          <f,\6 c\5 f\4 a\3 c'\2 f'\1>4\strokeDown <f,\6 c\5 f\4 a\3 c'\2 f'\1>4\strokeUpStrum <g,\6 b,\5 d\4 g\3 b\2 f'\1>4\strokeDownStrum <g,\6 b,\5 d\4 g\3 b\2 f'\1>4\strokeUpStrum |
          <c\5 e\4 g\3 c'\2 e'\1>4\strokeDown <c\5 e\4 g\3 c'\2 e'\1>4\strokeUpStrum <a,\5 e\4 a\3 c'\2 e'\1>4\strokeDownStrum <a,\5 e\4 a\3 c'\2 e'\1>4\strokeUpStrum |
          <f,\6 c\5 f\4 a\3 c'\2 f'\1>4\strokeDown <f,\6 c\5 f\4 a\3 c'\2 f'\1>4\strokeUpStrum <g,\6 b,\5 d\4 g\3 b\2 f'\1>4\strokeDownStrum <g,\6 b,\5 d\4 g\3 b\2 f'\1>4\strokeUpStrum |
        }
      >>
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/4)
        \override SpacingSpanner.spacing-increment = #1.385
      }
    }
  }}