\bookpart {
  \paper { [% include "book/text_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #8 }
[% for kind, name, meaning in page.signs %]
  \markup \sign-entry #[[ line_mm ]] #[[ page.gap_mm ]] [[ kind|text ]] [[ name|text ]] [[ meaning|text ]]
[% endfor %]
}
