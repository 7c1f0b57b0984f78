\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #14.06
    last-bottom-spacing.basic-distance = #67.15
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Two Boats, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Two Boats, continued" } }    oddFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "Idle fingers stay near the strings and do nothing."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }    evenFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "Idle fingers stay near the strings and do nothing."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 12 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Two Boats"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \fit #174 #0.8 \concat {
      \abs-fontsize #9 \sans "Play it five times. Five clean in a row: fill a circle, take the next tempo."
      \mm-gap #6
      \sign-row #(list (cons "finger" "finger") )
    }
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 71.0) (string-gap . 4.5) (first . 0) (last . 7)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 5 6 ))
        (used . (1 3 5 ))
(band . (1 . 5))(open . #t)        (dots . ((1 0 "E" start) (1 1 "F" used) (1 3 "G" used) (2 1 "C" used) (2 3 "D" used) (2 5 "E" used) (5 3 "C" used) (6 3 "G" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 1, open: E"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "C major  ·  4/4  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key c \major \time 4/4
          <<
\new Voice { \voiceOne <c'-2 e'-0>4 <d'-4 f'-2>4 <e'-2 g'-4>4 <d'-4 f'-2>4 |
          <c'-2 e'-0>4 <d'-4 f'-2>4 <e'-2 g'-4>4 <d'-4 f'-2>4 | \break
          <c'-2 e'-0>4 <d'-4 f'-2>4 <e'-2 g'-4>4 <d'-4 f'-2>4 |
          <c'-2 e'-0>4 <d'-4 f'-2>4 <e'-2 g'-4>4 <d'-4 f'-2>4 |
          \bar "|." }
\new Voice { \voiceTwo \lowerMarks c4-4~ c16[ g,8.] c2 |
          c4-4~ c16[ g,8.] c2 |
          c4-4~ c16[ g,8.] c2 |
          c4-4~ c16[ g,8.] c2 | }
>>
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          <<
\new TabVoice { \voiceOne <c'\2 e'\1>4 <d'\2 f'\1>4 <e'\2 g'\1>4 <d'\2 f'\1>4 |
          <c'\2 e'\1>4 <d'\2 f'\1>4 <e'\2 g'\1>4 <d'\2 f'\1>4 |
          <c'\2 e'\1>4 <d'\2 f'\1>4 <e'\2 g'\1>4 <d'\2 f'\1>4 |
          <c'\2 e'\1>4 <d'\2 f'\1>4 <e'\2 g'\1>4 <d'\2 f'\1>4 | }
\new TabVoice { \voiceTwo c4\5~ c16\5 g,8.\6 c2\5 |
          c4\5~ c16\5 g,8.\6 c2\5 |
          c4\5~ c16\5 g,8.\6 c2\5 |
          c4\5~ c16\5 g,8.\6 c2\5 | }
>>
        }
      >>
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #1.575
      }
    }
  }}