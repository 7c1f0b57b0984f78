\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #32.32
    last-bottom-spacing.basic-distance = #36.65
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Nets, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Nets, continued" } }    oddFooterMarkup = \markup \stack {
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
      \headed \heading #174.0 #23 #16 "Nets"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "pluck" "thumb, index, middle, ring") (cons "barre" "barre") (cons "shape" "not played, open, finger") (cons "kept" "finger stays down") )
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 55.0) (string-gap . 4.5) (first . 0) (last . 5)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 3 5 6 ))
        (used . (1 2 3 ))
(band . (1 . 3))(open . #t)        (dots . ((1 0 "E" used) (1 1 "F" used) (2 0 "B" used) (2 1 "C" used) (3 0 "G" start) (3 2 "A" used) (5 0 "A" used) (5 3 "C" used) (6 1 "F" used) (6 3 "G" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 3, open: G"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "C major  ·  4/4  ·  plucked with p i m a"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new Lyrics \with \chordLane \lyricmode { \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((2 1 1 #f) (4 2 2 #f) (5 3 3 #f))) (barres . ()) (open . (1 3)) (muted . (6))) #'("C") 1*1/1 \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((2 1 1 #t) (3 2 3 #f) (4 2 2 #f))) (barres . ()) (open . (1 5)) (muted . (6))) #'("Am") 1*1/1 \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((3 2 2 #f) (4 3 4 #f) (5 3 3 #f) (6 1 1 #f))) (barres . ((6 1 1))) (open . ()) (muted . ())) #'("F") 1*1/1 \diagram \markup \chord-shape #'((strings . 6) (first . 1) (rows . 4) (dots . ((1 1 1 #t) (5 2 2 #f) (6 3 3 #f))) (barres . ()) (open . (2 3 4)) (muted . ())) #'("G7") 1*1/1 \markup \chord-name #'("C") 1*1/1 \markup \chord-name #'("Am") 1*1/1 \markup \chord-name #'("F") 1*1/1 \markup \chord-name #'("G7") 1*1/1 }
      \new Dynamics \with \handLane { s1*6/1 s1*7/8\barreFrom "C I" s1*9/8\stopTextSpan }
      \new StaffGroup <<
        \new TabStaff \with { \tabAlone stringTunings = \stringTuning <e, a, d g b e'> } {
          \tabValues \time 4/4
          <<
\new TabVoice { \voiceOne \overStems r8 g8\3^\pluck "i" c'8\2^\pluck "m"[ e'8\1^\pluck "a"] r8 g8\3^\pluck "i" c'8\2^\pluck "m"[ e'8\1^\pluck "a"] |
          r8 a8\3 c'8\2[ e'8\1] r8 a8\3 c'8\2[ e'8\1] |
          r8 a8\3 c'8\2[ f'8\1] r8 a8\3 c'8\2[ f'8\1] | \break
          r8 g8\3^\pluck "i" b8\2^\pluck "m"[ f'8\1^\pluck "a"] r8 g8\3^\pluck "i" b8\2^\pluck "m"[ f'8\1^\pluck "a"] |
          r8 g8\3 c'8\2[ e'8\1] r8 g8\3 c'8\2[ e'8\1] |
          r8 a8\3 c'8\2[ e'8\1] r8 a8\3 c'8\2[ e'8\1] | \break
          r8 a8\3^\pluck "i" c'8\2^\pluck "m"[ f'8\1^\pluck "a"] r8 a8\3^\pluck "i" c'8\2^\pluck "m"[ f'8\1^\pluck "a"] |
          r8 g8\3 b8\2[ f'8\1] r8 g8\3 b8\2[ f'8\1] |
          \bar "|." }
\new TabVoice { \voiceTwo \lowerMarks \lowerLetters \overStems c2\5_\pluck "p" c2\5_\pluck "p" |
          a,2\5 a,2\5 |
          f,2\6 f,2\6 |
          g,2\6_\pluck "p" g,2\6_\pluck "p" |
          c2\5 c2\5 |
          a,2\5 a,2\5 |
          f,2\6_\pluck "p" f,2\6_\pluck "p" |
          g,2\6 g,2\6 | }
>>
        }
      >>
    >>
    \layout {
      \context { \TabVoice \consists Fingering_engraver \consists New_fingering_engraver \omit StringNumber }
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/8)
        \override SpacingSpanner.spacing-increment = #0.953
      }
    }
  }}