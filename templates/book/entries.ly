[% for side in page.listing.sides %]
[% for group in side %]
[% if group.neck_map %]
  \markup \stack { \mm-space #5 \abs-fontsize #14 \bold [[ group.heading|text ]] \mm-space #5
    [% set neck_map = group.neck_map %]
    [% include "parts/neck_map.ly" %]
  }
[% elif group.heading and group.minor %]
  \markup \minor-heading #[[ line_mm ]] [[ group.heading|text ]]
[% elif group.heading %]
  \markup \group-heading #[[ line_mm ]] [[ group.mark|text ]] [[ group.heading|text ]]
[% else %]
  \markup \mm-space #3
[% endif %]
[% for entry in group.entries %]
  \markup [% if entry.target %]\with-url #[[ ("mark:" ~ entry.target)|text ]] [% endif %]\entry #[[ line_mm ]] #[[ page.listing.pitch_mm ]] ##[[ "t" if entry.indented else "f" ]] [[ entry.text|text ]] [[ entry.place|text ]] [[ entry.label|text ]]
[% endfor %]
[% endfor %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
