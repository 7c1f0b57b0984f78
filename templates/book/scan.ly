\bookpart {
  \paper { [% include "book/text_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \para #[[ line_mm ]] #11.5 #14.5 [[ page.lead|text ]] \mm-space #6 }
[% for rows in page.cues|batch(page.cues_a_side) %]
  \markup \stack {
    \ruled-table #(list [% for head in page.heads %][[ head|text ]] [% endfor %]) #'([% for width in page.widths_mm %][[ width ]] [% endfor %]) #[[ page.row_mm ]] #(list [% for words, say in rows %](list #{ \markup \fit #[[ cue_mm ]] #0.6 \abs-fontsize #11 \sans \bold [[ words|text ]] #} #{ \markup \para #[[ say_mm ]] #9 #11 [[ say|text ]] #} "") [% endfor %])
  }
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
