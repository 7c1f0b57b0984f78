[#- One study: head, music, foot. Everything decided before; this only places it. -#]
\bookpart {
  \paper {
    page-count = [[ page.rung.sides ]][% include "parts/handed.ly" +%]
    system-system-spacing.basic-distance = #[[ reach_ss ]]
    last-bottom-spacing.basic-distance = #[[ foot_ss ]]
    ragged-last = ##[[ "t" if page.rung.ragged else "f" ]]
    oddHeaderMarkup = \markup [% include "parts/short_head.ly" %]
    evenHeaderMarkup = \markup [% include "parts/short_head.ly" %]
    oddFooterMarkup = \markup [% include "parts/foot.ly" %]
    evenFooterMarkup = \markup [% include "parts/foot.ly" %]
  }
[% include "parts/head.ly" %]
[% if page.rung.head_alone %]
  \pageBreak
[% endif %]
[% include "parts/score.ly" %]
}
