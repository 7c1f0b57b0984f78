[#- Contents, level openers: groups of entries with leaders. Every entry is a markup of its own, so that pages break. -#]
\bookpart {
  \paper { [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #[[ title_pt ]] #18 [[ page.title|text ]] \mm-space #2 [% if page.lead %]\italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] [% endif %]\mm-space #5 }
  [% include "book/entries.ly" %]
[% for line in page.notes %]
[% if loop.first %]
  \markup \stack { \mm-space #9 \abs-fontsize #14 \headed [[ page.notes_title|text ]] \mm-space #1.5 }
[% endif %]
  \markup \stack { \mm-space #1.5 \para #[[ line_mm ]] #11.5 #16 [[ line|text ]] }
[% endfor %]
}
