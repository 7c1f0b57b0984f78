[#- The curve of difficulty, its jumps and the holes of the book. -#]
[% macro numbered(lines) -%]
[% for number, line in lines %]
  \markup \stack { \concat { \mm-width #7 \abs-fontsize #10 \sans \bold [[ number|text ]] \para #[[ sentence_mm ]] #10 #12.5 [[ line|text ]] } \mm-space #1 }
[% endfor %]
[%- endmacro %]
\bookpart {
  \paper { [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \para #[[ line_mm ]] #11 #13.5 [[ page.lead|text ]] \mm-space #5
    \overline [[ page.axis|text ]] \mm-space #1
    \score-curve #[[ line_mm ]] #[[ page.height_mm ]] #[[ page.top ]] #'([% for score in page.scores %][[ score ]] [% endfor %]) #'([% for place, level in page.levels %]([[ place ]] [[ level ]]) [% endfor %]) #'([% for place, number in page.jumps %]([[ place ]] [[ number ]]) [% endfor %]) }
  \markup \stack { \mm-space #5 \abs-fontsize #13 \headed [[ page.jumps_title|text ]] \mm-space #1.5 }
[% if large %]
  \noPageBreak
[% endif %]
[[- numbered(page.jump_sentences) ]]
  \markup \stack { \mm-space #5 \abs-fontsize #13 \headed [[ page.holes_title|text ]] \mm-space #1.5 }
[% if large %]
  \noPageBreak
[% endif %]
[[- numbered(page.hole_sentences) ]]
}
