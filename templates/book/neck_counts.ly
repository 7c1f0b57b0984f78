[#- How often each place of each neck is played. -#]
\bookpart {
  \paper { page-count = [[ page.sides|length ]][% include "parts/handed.ly" %] [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \para #[[ line_mm ]] #11 #13.5 [[ page.lead|text ]] \mm-space #2 }
[% for side in page.sides %]
[% for neck in side %]
  \markup \stack { \mm-space #6 \headed \heading #[[ line_mm ]] #13 #9.5 [[ neck.heading|text ]] \mm-space #3
    \neck-counts #'([% for name in neck.strings %][[ name|text ]] [% endfor %]) #[[ neck.first ]] #[[ neck.frets ]] #[[ neck.cell_mm ]] #[[ neck.string_mm ]] #'([% for cell in neck.cells %]([[ cell.string ]] [[ cell.fret ]] [[ cell.grey ]] [[ cell.count|text ]]) [% endfor %])
    \mm-space #2.5 \shade-key #(list [% for grey, range in neck.shades %](cons [[ grey ]] [[ range|text ]]) [% endfor %]) }
[% endfor %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
