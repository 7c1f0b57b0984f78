[#- A ruled page for notes. -#]
\bookpart {
  \paper { page-count = 1 [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ title|text ]] \mm-space #2 \write-lines #[[ line_mm ]] #[[ lines ]] #[[ pitch_mm ]] }
}
