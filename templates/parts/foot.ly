\stack {
[% if page.rung.sides > 1 %]
      \if \on-last-page-of-part
[% endif %]
      \stack {
[% if page.rung.notes %]
        \mm-space #2.5
        \abs-fontsize #12 \bold [[ page.notes_title|text ]]
        \mm-space #2
[% for line in page.notes %]
        \fit #[[ line_mm ]] #0.75 \abs-fontsize #10.5 [[ line|text ]]
        \mm-space #1.5
[% endfor %]
        \mm-space #3
[% endif %]
[% for line in page.warnings %]
        \fit #[[ line_mm ]] #0.85 \abs-fontsize #9 \sans \bold [[ line|text ]]
        \mm-space #2
[% endfor %]
        \overline [[ page.log_title|text ]]
        \mm-space #1.2
        \ruled-table #(list [% for head, width in page.log_heads %][[ head|text ]] [% endfor %]) #'([% for head, width in page.log_heads %][[ width ]] [% endfor %]) #[[ log_row_mm ]] #(make-list [[ page.rung.log_rows ]] (make-list [[ page.log_heads|length ]] ""))
        \mm-space #2
      }
      \fit #[[ line_mm ]] #0.9 \abs-fontsize #8.5 \sans \concat { \bold [[ page.caution[0]|text ]] " " [[ page.caution[1]|text ]] }
    }
