[#- Who made the book, with what, and what to beware of: a markup for each part, so that large print may go on on a second side. -#]
\bookpart {
  \paper { page-count = 1 [% include "book/text_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #8 }
[% for name, text in page.facts %]
  \markup \stack { \concat { \mm-width #[[ name_mm ]] \abs-fontsize #10.5 \sans \bold [[ name|text ]] \text-lines #[[ line_mm - name_mm ]] #11 #15 [[ text|text ]] } \mm-space #3 }
[% endfor %]
  \markup \stack { \mm-space #3 \mm-rule #[[ line_mm ]] #0.15 \mm-space #5 }
[% for line in page.notes %]
  \markup \stack { \concat { \mm-gap #[[ indent_mm ]] \text-lines #[[ line_mm - indent_mm ]] #10.5 #14.5 [[ line|text ]] } \mm-space #3.4 }
[% endfor %]
}
