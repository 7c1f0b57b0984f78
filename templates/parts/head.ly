[% macro sign_row(signs) -%]
\sign-row #(list [% for kind, meaning in signs %](cons [[ kind|text ]] [[ meaning|text ]]) [% endfor %])
[%- endmacro %]
  \markup \stack {
[% if page.code %]
    \beside-code #[[ line_mm ]] #[[ page.code.side_mm ]] #[[ page.code.quiet_mm ]] #'([% for row in page.code.rows %][[ row|text ]] [% endfor %]) #(list [% for line in page.code.caption %][[ line|text ]] [% endfor %])
[% endif %]
    \stack {
      \headed \heading #[[ page.title_mm ]] #23 #16 [[ page.title|breakable(breaks) ]]
[% if page.aim %]
      \mm-space #1.2
      \italic \heading #[[ page.aim_mm ]] #11.5 #9.5 [[ page.aim|breakable(breaks) ]]
[% endif %]
      \mm-space #1.8
    }
[% if page.signs_below and not page.paper.large %]
    \sans \heading #[[ line_mm ]] #9 #8 [[ page.instruction|text ]]
[% else %]
    \fit #[[ line_mm ]] #0.8 \concat {
      \abs-fontsize #9 \sans [[ page.instruction|text ]]
[% if page.signs and not page.signs_below %]
      \mm-gap #6
      [[ sign_row(page.signs[0]) ]]
[% endif %]
    }
[% endif %]
[% if page.signs_below %]
[% for signs in page.signs %]
    \mm-space #1.6
    \fit #[[ line_mm ]] #0.8 [[ sign_row(signs) ]]
[% endfor %]
[% endif %]
    \mm-space #[[ 1.5 if page.code else 2.8 ]]
[% if page.wide_map %]
    [% with neck_map = page.neck_map %][% include "parts/neck_map.ly" %][% endwith %]
    \mm-space #3
    \concat { \mm-width #[[ map_cell_mm ]] [% include "parts/facts.ly" %] [% if not page.tempo_below %][% include "parts/tempo.ly" %][% endif %] }
[% else %]
    \concat {
      \mm-width #[[ map_cell_mm ]] [% with neck_map = page.neck_map %][% include "parts/neck_map.ly" %][% endwith %]
      \stack {
        [% include "parts/facts.ly" %]
[% if not page.tempo_below %]
        \mm-space #2.4
        [% include "parts/tempo.ly" %]
[% endif %]
      }
    }
[% endif %]
[% if page.tempo_below %]
    \mm-space #2.4
    [% include "parts/tempo.ly" %]
[% endif %]
  }
