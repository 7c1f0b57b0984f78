\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #24.75
    last-bottom-spacing.basic-distance = #27.77
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Ferry Steps, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Ferry Steps, continued" } }    oddFooterMarkup = \markup \stack {
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
      \headed \heading #174.0 #23 #16 "Ferry Steps"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it round five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "accent" "stressed") (cons "finger" "finger") (cons "string" "string") (cons "position" "move to this fret") (cons "cue" "let go here") )
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 76.0) (string-gap . 4.5) (first . 0) (last . 12)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (3 ))
        (used . (3 5 6 7 9 10 ))
(band . (3 . 10))        (dots . ((3 3 "B♭" used) (3 5 "C" used) (3 6 "D♭" used) (3 7 "D" start) (3 9 "E" used) (3 10 "F" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 3, fret 7: D"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "D minor  ·  4/4  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new Lyrics \with \chordLane \lyricmode { \markup \chord-name #'("Dm") 1*1/1 \markup \chord-name #'("Gm") 1*1/1 \markup \chord-name #'("B" "b") 1*1/1 \markup \chord-name #'("A") 1*1/1 \markup \chord-name #'("Dm") 1*1/1 \markup \chord-name #'("Gm") 1*1/1 \markup \chord-name #'("B" "b") 1*1/1 \markup \chord-name #'("A") 1*1/1 }
      \new Dynamics \with \handLane { s1*1/1\handSign "VII" s1*1/1\handSign "III" s1*1/1\handSign "VII" s1*1/1\handSign "VI" s1*1/1\handSign "VII" s1*1/1\handSign "III" s1*1/1\handSign "VII" s1*1/1\handSign "VI" }
      \new StaffGroup <<
        \new Staff \with \staffAlone {
          \clef "treble_8" \key f \major \time 4/4
          \bar ".|:"
          \stemDown
          d'16-4\3->\strokeDown[ e'16-2\strokeUpSmall f'16-3\strokeDownSmall e'16\strokeUpSmall] d'16\strokeDownSmall[ e'16\strokeUpSmall f'16\strokeDownSmall e'16\strokeUpSmall] d'4->\strokeDown r4 |
          bes16-4\3->\strokeDown[ c'16-2 d'16-4\3 c'16] bes16[ c'16 d'16 c'16] bes4->\strokeDown r4 | \break
          d'16-4\3->\strokeDown[ e'16-2\strokeUpSmall f'16-3\strokeDownSmall e'16\strokeUpSmall] d'16\strokeDownSmall[ e'16\strokeUpSmall f'16\strokeDownSmall e'16\strokeUpSmall] d'4->\strokeDown r4 |
          des'16-3\3->\strokeDown[ d'16-4 e'16-2 d'16] des'16[ d'16 e'16 d'16] des'4->\strokeDown r4 | \break
          \sectionLabel \markup \pass-label "Second pass" d'16-4\3->\strokeDown[ e'16-2\strokeUpSmall f'16-3\strokeDownSmall e'16\strokeUpSmall] d'16\strokeDownSmall[ e'16\strokeUpSmall f'16\strokeDownSmall e'16\strokeUpSmall] d'4->\strokeDown r4 |
          bes16-4\3->\strokeDown[ c'16-2 d'16-4\3 c'16] bes16[ c'16 d'16 c'16] bes4->\strokeDown r4 | \break
          d'16-4\3->\strokeDown[ e'16-2\strokeUpSmall f'16-3\strokeDownSmall e'16\strokeUpSmall] d'16\strokeDownSmall[ e'16\strokeUpSmall f'16\strokeDownSmall e'16\strokeUpSmall] d'4->\strokeDown r4 |
          des'16-3\3->\strokeDown[ d'16-4 e'16-2 d'16] des'16[ d'16 e'16 d'16] des'4->\strokeDown r4 |
          \bar ":|."
        }
      >>
      \new Lyrics \with { \cueLane \nearCues } \lyricmode { \skip 1*3/4 \markup \cue "jaw" 1*1/1 \closingCue \markup \cue "fretting thumb" 1*1/1 \markup \cue "shoulders" 1*1/1 \closingCue \markup \cue "breathe out" 1*1/1 \markup \cue "picking wrist" 1*1/1 \closingCue \markup \cue "jaw" 1*1/1 \markup \cue "fretting thumb" 1*1/1 \closingCue \markup \cue "shoulders" 1*1/4 }
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #0.906
      }
    }
  }}