[#- The places of an exercise that are not printed in full: small neck maps. -#]
\bookpart {
  \paper { page-count = [[ page.sides|length ]][% include "parts/handed.ly" %] [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #23 #16 [[ page.title|breakable(breaks) ]] \mm-space #2.2 \italic \para #[[ line_mm ]] #11 #13.5 [[ page.lead|text ]] \mm-space #2 }
[% for side in page.sides %]
[% for pair in side %]
  \markup \stack { \mm-space #7 \concat { [% for each in pair %]\mm-width #[[ line_mm if each.wide else column_mm ]] \stack {
    \abs-fontsize #11 \sans \bold \cut-to #[[ half_mm ]] #0.7 [[ each.line|text ]] \mm-space #1.2
    \abs-fontsize #8.5 \sans \cut-to #[[ line_mm if each.wide else half_mm ]] #0.9 [[ (each.study ~ "   " ~ each.levels)|text ]] \mm-space #3
    [% with neck_map = each.neck_map %][% include "parts/neck_map.ly" %][% endwith %] } [% endfor %]} }
[% endfor %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
