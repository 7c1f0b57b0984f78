\bookpart {
  \paper { [% include "book/text_page.ly" %] }
  \markup \stack { \bold \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #9
    [% include "parts/neck_map.ly" %]
    \mm-space #4 }
  [% include "book/entries.ly" %]
}
