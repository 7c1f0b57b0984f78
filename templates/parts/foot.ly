\stack {
[% if page.rung.notes_side is not none and page.rung.notes_side + 1 < page.rung.sides and not page.rung.head_alone %]
      \if \on-first-page-of-part
      \stack {
        \mm-space #[[ page.rung.pads_mm[0] ]]
        [% include "parts/practice_notes.ly" %]
      }
[% endif %]
[% if page.rung.head_alone %]
      \if \on-first-page-of-part
[% elif page.rung.sides > 1 %]
      \if \on-last-page-of-part
[% endif %]
      \stack {
[% if page.rung.sides > 1 and not page.rung.head_alone %]
        \mm-space #[[ page.rung.pads_mm[-1] ]]
[% endif %]
[% if page.rung.notes_side is not none and (page.rung.head_alone or page.rung.notes_side + 1 == page.rung.sides) %]
        [% include "parts/practice_notes.ly" %]
[% endif %]
[% for line in page.warnings %]
        \sans \bold \heading #[[ line_mm ]] #9 #8 [[ line|text ]]
        \mm-space #2
[% endfor %]
        \overline [[ page.log_title|text ]]
        \mm-space #1.2
        \ruled-table #(list [% for head, width in page.log_heads %][[ head|text ]] [% endfor %]) #'([% for head, width in page.log_heads %][[ width ]] [% endfor %]) #[[ page.rung.log_row_mm ]] #(make-list [[ page.rung.log_rows ]] (make-list [[ page.log_heads|length ]] ""))
        \mm-space #2
      }
[% if page.caution_lines == 1 %]
      \fit #[[ line_mm ]] #0.83 \abs-fontsize #8.5 \sans \concat { \bold [[ page.caution[0]|text ]] " " [[ page.caution[1]|text ]] }
[% else %]
      \caution #[[ line_mm ]] [[ page.caution[0]|text ]] [[ page.caution[1]|text ]]
[% endif %]
    }
