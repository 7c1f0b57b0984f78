\bookpart {
  \paper {
    page-count = 1[% include "parts/handed.ly" %] ragged-last-bottom = ##t
    oddHeaderMarkup = \markup \mm-space #5 evenHeaderMarkup = \markup \mm-space #5
    oddFooterMarkup = \markup [% include "book/cover_foot.ly" %]
    evenFooterMarkup = \markup [% include "book/cover_foot.ly" %]
  }
  \markup \stack {
    \mm-space #4
[% if logo %]
    \picture-data #[[ logo.width_mm ]] #[[ logo.height_mm ]] [[ logo.text|text ]]
    \mm-space #6
[% endif %]
    \sans \headed \heading #[[ line_mm ]] #14 #11 [[ page.school|breakable(breaks) ]]
    \mm-space #3
    \mm-rule #[[ line_mm ]] #1.4
    \mm-space #[[ 12 if logo else 18 if page.long else 38 ]]
    \headed \heading #[[ line_mm ]] #46 #[[ 24 if page.long else 32 ]] [[ page.title|breakable(breaks) ]]
    \mm-space #5
    \italic \heading #[[ line_mm ]] #18 #14 [[ page.subtitle|breakable(breaks) ]]
[% if page.student %]
    \mm-space #7
    \sans \headed \heading #[[ line_mm ]] #16 #11 [[ page.student|breakable(breaks) ]]
[% endif %]
    \mm-space #22
    \cover-strings #[[ line_mm ]] #[[ strings ]]
  }
}
