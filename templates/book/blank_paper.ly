[#- Empty systems of staff, tablature or both, side after side. -#]
\bookpart {
  \paper {
    page-count = [[ page.sides ]]
    oddHeaderMarkup = \markup \mm-space #7.5 evenHeaderMarkup = \markup \mm-space #7.5
    last-bottom-spacing = #'((basic-distance . 13) (padding . 3) (stretchability . 2))
    markup-system-spacing = #'((basic-distance . 12) (padding . 2) (stretchability . 4))
    system-system-spacing = #'((basic-distance . [[ 18 if page.notation == "both" else 9 ]]) (minimum-distance . 8) (padding . 1) (stretchability . 10))
  }
[% for side in range(page.sides) %]
  \markup \headed \heading #[[ line_mm ]] #15 #12 [[ page.title|text ]]
  \score {
    \new StaffGroup <<
[% if page.notation != "tab" %]
      \new Staff \with { \omit TimeSignature } { \clef [[ page.instrument.clef|text ]] [% for system in range(page.systems) %]s1 \bar "" [% if not loop.last %]\break [% endif %][% endfor %]}
[% endif %]
[% if page.notation != "staff" %]
      \new TabStaff \with { \omit TimeSignature stringTunings = \stringTuning [[ tuning ]] } { [% for system in range(page.systems) %]s1 \bar "" [% if not loop.last %]\break [% endif %][% endfor %]}
[% endif %]
    >>
    \layout {
      #(layout-set-staff-size [[ page.staff_size ]])
      \context { \Score \omit BarNumber }
    }
  }
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
