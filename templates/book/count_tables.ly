[#- Skills by strings, positions, keys and meters. -#]
\bookpart {
  \paper { page-count = [[ page.sides|length ]] [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \para #[[ line_mm ]] #11 #13.5 [[ page.lead|text ]] \mm-space #2 }
[% for side in page.sides %]
[% for table in side %]
  \markup \stack { \mm-space #6 \headed \heading #[[ line_mm ]] #13 #9.5 [[ table.heading|text ]] \mm-space #1
    \count-table #[[ page.name_mm ]] #[[ table.cell_mm ]] #[[ table.head_mm ]] #[[ table.row_mm ]] #(list [% for head in table.heads %][[ head|text ]] [% endfor %]) #'([% for line in table.rows %]([% for cell in line %][[ cell|text ]] [% endfor %]) [% endfor %]) }
[% endfor %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
