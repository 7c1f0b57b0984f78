\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #10.98
    last-bottom-spacing.basic-distance = #29.31
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
    \fit #174 #0.8 \concat {
      \abs-fontsize #9 \sans "Play it five times. Five clean in a row: fill a circle, take the next tempo."
      \mm-gap #6
      \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "accent" "stressed") (cons "finger" "finger") (cons "cue" "let go here") )
    }
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 71.0) (string-gap . 4.5) (first . 0) (last . 7)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (5 6 ))
        (used . (1 2 3 4 5 ))
(band . (1 . 5))(open . #t)        (dots . ((5 0 "A" used) (5 1 "B♭" used) (5 2 "B" used) (5 4 "D♭" used) (5 5 "D" used) (6 0 "E" used) (6 1 "F" start) (6 3 "G" used) (6 4 "A♭" used) (6 5 "A" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 6, fret 1: F"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "G flat major  ·  4/4  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new StaffGroup <<
        \new Staff {
          \clef "treble_8" \key ges \major \time 4/4
          \stemUp
          f,16-2->[ g,16-4 aes,16-1 a,16] f,16[ g,16 aes,16 a,16] e,4-> r4 |
          bes,16-2->[ b,16-3 des16-1 d16] bes,16[ b,16 des16 d16] a,4-> r4 | \break
          f,16-2->[ g,16-4 aes,16-1 a,16] f,16[ g,16 aes,16 a,16] e,4-> r4 |
          bes,16-2->[ b,16-3 des16-1 d16] bes,16[ b,16 des16 d16] a,4-> r4 | \break
          f,16-2->[ g,16-4 aes,16-1 a,16] f,16[ g,16 aes,16 a,16] e,4-> r4 |
          bes,16-2->[ b,16-3 des16-1 d16] bes,16[ b,16 des16 d16] a,4-> r4 | \break
          f,16-2->[ g,16-4 aes,16-1 a,16] f,16[ g,16 aes,16 a,16] e,4-> r4 |
          bes,16-2->[ b,16-3 des16-1 d16] bes,16[ b,16 des16 d16] a,4-> r4 |
          \bar "|."
        }
        \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } {
          f,16\6\strokeDown g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall f,16\6\strokeDownSmall g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall e,4\6\strokeDown r4 |
          bes,16\5\strokeDown b,16\5 des16\5 d16\5 bes,16\5 b,16\5 des16\5 d16\5 a,4\5\strokeDown r4 |
          f,16\6\strokeDown g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall f,16\6\strokeDownSmall g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall e,4\6\strokeDown r4 |
          bes,16\5\strokeDown b,16\5 des16\5 d16\5 bes,16\5 b,16\5 des16\5 d16\5 a,4\5\strokeDown r4 |
          f,16\6\strokeDown g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall f,16\6\strokeDownSmall g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall e,4\6\strokeDown r4 |
          bes,16\5\strokeDown b,16\5 des16\5 d16\5 bes,16\5 b,16\5 des16\5 d16\5 a,4\5\strokeDown r4 |
          f,16\6\strokeDown g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall f,16\6\strokeDownSmall g,16\6\strokeUpSmall aes,16\6\strokeDownSmall a,16\6\strokeUpSmall e,4\6\strokeDown r4 |
          bes,16\5\strokeDown b,16\5 des16\5 d16\5 bes,16\5 b,16\5 des16\5 d16\5 a,4\5\strokeDown r4 |
        }
      >>
      \new Lyrics \with \cueLane \lyricmode { \skip 1*3/4 \markup \cue "jaw" 1*1/1 \closingCue \markup \cue "fretting thumb" 1*1/1 \markup \cue "shoulders" 1*1/1 \closingCue \markup \cue "breathe out" 1*1/1 \markup \cue "picking wrist" 1*1/1 \closingCue \markup \cue "jaw" 1*1/1 \markup \cue "fretting thumb" 1*1/1 \closingCue \markup \cue "shoulders" 1*1/4 }
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/16)
        \override SpacingSpanner.spacing-increment = #0.809
      }
    }
  }}