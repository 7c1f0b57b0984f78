\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #19.46
    last-bottom-spacing.basic-distance = #33.12
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Ladder, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Ladder, continued" } }    oddFooterMarkup = \markup \stack {
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
      \headed \heading #174.0 #23 #16 "Ladder"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "pluck" "thumb, index, middle, ring") (cons "finger" "finger") (cons "guide" "guide finger") (cons "position" "move to this fret") (cons "barre" "barre") (cons "half-barre" "small barre") )
    \mm-space #2.8
\neck-map #'((width . 160) (string-gap . 4.5) (first . 2) (last . 17)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 3 4 ))
        (used . (5 6 7 9 10 12 14 15 ))
(band . (5 . 15))        (dots . ((1 7 "B" used) (1 9 "C♯" used) (1 10 "D" used) (1 12 "E" used) (1 14 "F♯" used) (1 15 "G" used) (2 5 "E" used) (2 7 "F♯" used) (2 9 "G♯" used) (2 10 "A" used) (3 6 "C♯" used) (3 7 "D" used) (4 5 "G" start) (4 7 "A" used) (4 9 "B" used) )))    \mm-space #3
    \concat { \mm-width #84.0 \stack {
        \sans \bold \heading #82.0 #12.5 #10 "Start: string 4, fret 5: G"
        \mm-space #1.6
        \sans \heading #82.0 #9 #7.5 "G major  ·  4/4  ·  plucked with the fingers in turn"
      } \tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) ) }
  }  \score {
    <<
      \new Dynamics \with \handLane { s1*1/2 s1*1/4\handSign "VII" s1*1/4\handSign "XII" s1*1/2\barreFrom "½C V" s1*3/16\handSign "VII" s1*1/16\stopTextSpan s1*3/4\handSign "XII" s1*1/4\handSign "VII" s1*1/4\handSign "XII" s1*1/16\barreFrom "C V" s1*7/16\stopTextSpan s1*1/4\handSign "VII" s1*1/4\handSign "XII" }
      \new StaffGroup <<
        \new TabStaff \with { \tabAlone stringTunings = \stringTuning <e, a, d g b e'> } {
          \tabValues \time 4/4
          \stemDown
          g16\4-1^\pluck "i"[ a16\4^\pluck "m" b16\4^\pluck "i" cis'16\3-1^\pluck "m"] d'16\3^\pluck "i"[ e'16\2-1^\pluck "m" fis'16\2^\pluck "i" gis'16\2^\pluck "m"] a'16\2\guideFinger #4 ^\pluck "i"[ b'16\1-1^\pluck "m" cis''16\1^\pluck "i" d''16\1^\pluck "m"] e''16\1\guideFinger #1 ^\pluck "i"[ fis''16\1^\pluck "m" g''16\1^\pluck "i"] r16 | \break
          g16\4-1^\pluck "i"[ a16\4^\pluck "m" b16\4^\pluck "i" cis'16\3-1^\pluck "m"] d'16\3^\pluck "i"[ e'16\2-1^\pluck "m" fis'16\2^\pluck "i" gis'16\2^\pluck "m"] a'16\2\guideFinger #4 ^\pluck "i"[ b'16\1-1^\pluck "m" cis''16\1^\pluck "i" d''16\1^\pluck "m"] e''16\1\guideFinger #1 ^\pluck "i"[ fis''16\1^\pluck "m" g''16\1^\pluck "i"] r16 | \break
          g16\4-1^\pluck "i"[ a16\4^\pluck "m" b16\4^\pluck "i" cis'16\3-1^\pluck "m"] d'16\3^\pluck "i"[ e'16\2-1^\pluck "m" fis'16\2^\pluck "i" gis'16\2^\pluck "m"] a'16\2\guideFinger #4 ^\pluck "i"[ b'16\1-1^\pluck "m" cis''16\1^\pluck "i" d''16\1^\pluck "m"] e''16\1\guideFinger #1 ^\pluck "i"[ fis''16\1^\pluck "m" g''16\1^\pluck "i"] r16 | \break
          g16\4-1^\pluck "i"[ a16\4^\pluck "m" b16\4^\pluck "i" cis'16\3-1^\pluck "m"] d'16\3^\pluck "i"[ e'16\2-1^\pluck "m" fis'16\2^\pluck "i" gis'16\2^\pluck "m"] a'16\2\guideFinger #4 ^\pluck "i"[ b'16\1-1^\pluck "m" cis''16\1^\pluck "i" d''16\1^\pluck "m"] e''16\1\guideFinger #1 ^\pluck "i"[ fis''16\1^\pluck "m" g''16\1^\pluck "i"] r16 |
          \bar "|."
        }
      >>
    >>
    \layout {
      \context { \TabVoice \consists Fingering_engraver \consists New_fingering_engraver \omit StringNumber }
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #1.451
      }
    }
  }}