[#- A page of ours to read: headings beside their text, or over it where the line is too short for both. -#]
\bookpart {
  \paper { [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #2 }
[% for section in page.sections %]
[% for paragraph in section.paragraphs %]
[% set beside = loop.first and indent_mm %]
[% set over = loop.first and not indent_mm %]
  \markuplist \prose-lines #[[ indent_mm ]] #[[ text_mm ]] #11 #15 #[[ airs_mm[0] if loop.first else airs_mm[1] ]] [% if beside %]\side-head #[[ indent_mm ]] [[ section.heading|text ]] [% else %]\null [% endif %][% if over %]\stack { \abs-fontsize #14 \headed [[ section.heading|text ]] \mm-space #1.6 } [% else %]\null [% endif %]#(list [[ paragraph|words ]])
[% endfor %]
[% endfor %]
}
