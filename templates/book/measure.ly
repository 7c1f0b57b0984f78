[#- How to measure a hand: steps, a frame to check the printer by, a ruler in true millimetres, a table. -#]
\bookpart {
  \paper { page-count = [[ page.sides ]] [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \para #[[ line_mm ]] #11.5 #14.5 [[ page.lead|text ]] \mm-space #5 }
[% for step in page.steps %]
  \markup \stack { \concat { \mm-width #8 \abs-fontsize #12 \bold [[ loop.index|text ]] \para #[[ step_mm ]] #11 #14.5 [[ step|text ]] } \mm-space #2.4 }
[% endfor %]
  \markup \stack { \mm-space #5 \translate #(cons 2 0) \ruler #[[ page.ruler_mm ]] #[[ page.mm ]] \mm-space #6 \combine \outline #[[ page.card_mm ]] #[[ 20 if large else 12 ]] \translate #'(1.4 . [[ 6.8 if large else 2.6 ]]) \fit #82 #0.78 \abs-fontsize #9 \sans [[ page.card|text ]] \mm-space #8 }
[% if page.sides > 1 %]
  \pageBreak
[% endif %]
  \markup \stack {
    \ruled-table #(list [% for head in page.heads %][[ head|text ]] [% endfor %]) #'([% for width in page.widths_mm %][[ width ]] [% endfor %]) #8.5 #(make-list [[ page.rows ]] (make-list [[ page.heads|length ]] ""))
    \mm-space #5 \para #[[ line_mm ]] #10 #13 [[ page.hands|text ]] \mm-space #1.6 \para #[[ line_mm ]] #10 #13 [[ page.hint|text ]] }
}
