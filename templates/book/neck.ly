[#- Where the studies start: for every instrument its neck, then its studies string by string. -#]
\bookpart {
  \paper {[% include "parts/handed.ly" %] [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #2 }
  [% include "book/entries.ly" %]
}
