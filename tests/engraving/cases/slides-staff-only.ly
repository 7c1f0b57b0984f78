\bookpart {
  \paper {
    page-count = 1
    system-system-spacing.basic-distance = #19.58
    last-bottom-spacing.basic-distance = #42.62
    ragged-last = ##f
    oddHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Slipway, continued" } }    evenHeaderMarkup = \markup \stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #174 #0.8 "Slipway, continued" } }    oddFooterMarkup = \markup \stack {
      \stack {
\mm-space #2.5
        \abs-fontsize #12 \headed "What to listen for"
        \mm-space #2
        \fit #174 #0.75 \abs-fontsize #10.5 "Down and up strokes sound alike; only the stressed notes stand out."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "Finger and pick arrive together; a click before the note means that one of them is early."
        \mm-space #1.5
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 4 (make-list 5 ""))
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
        \fit #174 #0.75 \abs-fontsize #10.5 "At the next tempo nothing changes but the tempo."
        \mm-space #1.5
        \mm-space #3        \overline "Practice log"
        \mm-space #1.2
        \ruled-table #(list "Date" "Tempo" "Clean of 5" "Ease 1 to 5" "What changed" ) #'(24.0 20.0 24.0 24.0 82.0 ) #5.7 #(make-list 4 (make-list 5 ""))
        \mm-space #2
      }
      \fit #174 #0.83 \abs-fontsize #8.5 \sans \concat { \bold "Play without pain." " " "If anything hurts, tingles or goes numb, stop for today. If it lasts or returns, see a licensed clinician." }
    }  }
  \markup \stack {
    \stack {
      \headed \heading #174.0 #23 #16 "Slipway"
      \mm-space #1.2
      \italic \heading #174.0 #11.5 #9.5 "Eight even notes, land, let go."
      \mm-space #1.8
    }
    \sans \heading #174 #9 #8 "Play it five times. Five clean in a row: fill a circle, take the next tempo."
    \mm-space #1.6
    \fit #174 #0.8 \sign-row #(list (cons "down" "down") (cons "up" "up") (cons "finger" "finger") (cons "string" "string") (cons "position" "move to this fret") (cons "pull-off" "pull off") (cons "slide" "slide") (cons "bend" "bend") (cons "release" "let back") )
    \mm-space #2.8
    \concat {
      \mm-width #84.0 \neck-map #'((width . 76.0) (string-gap . 4.5) (first . 2) (last . 16)
        (strings . ("E" "B" "G" "D" "A" "E" ))
        (bold-strings . (1 2 3 4 6 ))
        (used . (5 7 8 9 10 12 14 ))
(band . (5 . 14))        (dots . ((1 5 "A" used) (1 7 "B" used) (1 8 "C" used) (2 5 "E" used) (2 7 "F♯" used) (2 8 "G" used) (3 5 "C" start) (3 7 "D" used) (3 9 "E" used) (3 12 "G" used) (3 14 "A" used) (4 10 "C" used) (4 12 "D" used) (6 10 "D" used) (6 12 "E" used) )))      \stack {
\stack {
        \sans \bold \heading #90.0 #12.5 #10 "Start: string 3, fret 5: C"
        \mm-space #1.6
        \sans \heading #90.0 #9 #7.5 "E minor  ·  4/4  ·  alternate strokes"
      }        \mm-space #2.4
\tempo-table #4 #0 #(list "notes a second" "level" "five clean" ) #90.0 #'((60 "4.0" 3) (72 "4.8" 3) (84 "5.6" 4) (96 "6.4" 4) (108 "7.2" 4) )      }
    }
  }  \score {
    <<
      \new Dynamics \with \handLane { s1*8/1\handSign "V" }
      \new StaffGroup <<
        \new Staff \with \staffAlone {
          \clef "treble_8" \key g \major \time 4/4
          \stemDown
          c'8-1\3\strokeDown(\glissando[ d'8)\glissando] e'8\strokeUpSmall(\glissando[ d'8)] g'8-4\strokeDownSmall([ a'8\bentTo "1"] g'8\letBack[ e'8^\slurLetter #3/4 "P")] |
          c''8-4\strokeUpSmall([ cis''8\bentTo "½"] c''8\letBack[ a'8^\slurLetter #5/4 "P")] d'8-3\strokeDownSmall([ f'8\bentTo "1½"] d'8\letBack[ c'8^\slurLetter #7/4 "P")] | \break
          <e'-1 a'-1>8\strokeUpSmall\glissando[ <fis' b'>8\strokeDownSmall(\glissando] <g' c''>8)\glissando[ <e' a'>8\strokeUpSmall] g'8-4\3\strokeDownSmall(\glissando[ a'8\glissando] g'8) r8 |
          c'8-4\4\strokeUp\glissando[ d'8\strokeDownSmall\glissando] c'8\strokeUpSmall r8 d8-4\6\strokeDown(\glissando[ e8\glissando] d8) r8 | \break
          c'8-1\3\strokeUp(\glissando[ d'8)\glissando] e'8\strokeDownSmall(\glissando[ d'8)] g'8-4\2\strokeUpSmall([ a'8\bentTo "1"] g'8\letBack[ e'8^\slurLetter #19/4 "P")] |
          c''8-4\strokeDownSmall([ cis''8\bentTo "½"] c''8\letBack[ a'8^\slurLetter #21/4 "P")] d'8-3\strokeUpSmall([ f'8\bentTo "1½"] d'8\letBack[ c'8^\slurLetter #23/4 "P")] | \break
          <e'-1 a'-1>8\strokeDownSmall\glissando[ <fis' b'>8\strokeUpSmall(\glissando] <g' c''>8)\glissando[ <e' a'>8\strokeDownSmall] g'8-4\3\strokeUpSmall(\glissando[ a'8\glissando] g'8) r8 |
          c'8-4\4\strokeDown\glissando[ d'8\strokeUpSmall\glissando] c'8\strokeDownSmall r8 d8-4\strokeUp(\glissando[ e8\glissando] d8) r8 |
          \bar "|."
        }
      >>
    >>
    \layout {
      
      #(layout-set-staff-size 18)
      \context { \Score
        \override SpacingSpanner.common-shortest-duration = #(ly:make-moment 1/8)
        \override SpacingSpanner.spacing-increment = #1.422
      }
    }
  }}