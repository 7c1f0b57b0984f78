[#- The index: maps of the necks, then narrow columns. Every side is one markup; rows that cite a study lead to it. -#]
\bookpart {
  \paper { page-count = [[ page.sides|length ]][% include "parts/handed.ly" %] [% include "book/measured_page.ly" %] }
[% for side in page.sides %]
  \markup \stack {
[% if loop.first %]
    \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #2
[% endif %]
[% for name, neck_map in side.maps %]
    \mm-space #3 \abs-fontsize #11 \headed [[ name|text ]] \mm-space #3.4
    [% include "parts/neck_map.ly" %]

[% endfor %]
[% if side.maps %]
    \mm-space #2
[% endif %]
[% if side.columns %]
    \concat {
[% for column in side.columns %]
      \index-column #[[ page.column_mm ]] \stack {
[% for row in column %]
        [% if row.label %]\with-url #[[ ("mark:" ~ row.target)|text ]] [% endif %]\index-row #[[ page.column_mm ]] #[[ (row.rows * page.pitch_mm)|round(2) ]] [[ row.kind|text ]] [[ row.text|text ]] [[ row.label|text ]]
[% endfor %]
      }
[% if not loop.last %]
      \mm-gap #[[ page.gap_mm ]]
[% endif %]
[% endfor %]
    }
[% endif %]
  }
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
