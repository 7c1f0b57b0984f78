[#- A ruled page: a line a turn. -#]
\bookpart {
  \paper { page-count = 1 [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #6
    \write-line [[ page.name|text ]] #[[ across(80) ]]
    \mm-space #5
    \ruled-table #(list [% for head in page.heads %][[ head|text ]] [% endfor %]) #'([% for width in page.widths_mm %][[ width ]] [% endfor %]) #[[ page.row_mm ]] #(make-list [[ page.rows ]] (make-list [[ page.heads|length ]] ""))
    \mm-space #3
[% if caution_lines(caution) == 1 %]
    \fit #[[ line_mm ]] #0.83 \abs-fontsize #8.5 \sans \concat { \bold [[ caution[0]|text ]] " " [[ caution[1]|text ]] }
[% else %]
    \caution #[[ line_mm ]] [[ caution[0]|text ]] [[ caution[1]|text ]]
[% endif %]
  }
}
