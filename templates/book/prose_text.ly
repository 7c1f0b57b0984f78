[#- A page to read. Every piece is LilyPond text already: what may break stands in a list of its own. -#]
\bookpart {
  \paper { [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ title|breakable(breaks) ]] \mm-space #5 }
[% for piece in pieces %]
  [[ piece ]]
[% endfor %]
}
