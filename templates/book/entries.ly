[% for side in page.listing.sides %]
[% for group in side %]
[% if group.neck_map %]
  \markup \stack { \mm-space #5 \abs-fontsize #14 \headed [[ group.heading|text ]] \mm-space #5
    [% set neck_map = group.neck_map %]
    [% include "parts/neck_map.ly" %]
  }
[% elif group.heading and group.minor %]
  \markup \minor-heading #[[ line_mm ]] [[ group.heading|text ]]
[% elif group.heading %]
  \markup \group-heading #[[ line_mm ]] [[ group.mark|text ]] [[ group.heading|text ]]
[% elif not large %]
  \markup \mm-space #3
[% endif %]
[% if large and group.heading %]
  \noPageBreak
[% endif %]
[% for line in group.entries|batch(group.columns) %]
  \markup [% if group.minor %]\concat { [% endif %]
[% for entry in line %]
[% if entry.target %]\with-url #[[ ("mark:" ~ entry.target)|text ]] [% endif %]\entry #[[ half_mm if group.minor else line_mm ]] #[[ page.listing.pitch_mm ]] #[[ 0 if group.minor else 20 if entry.indented else 14 ]] [[ entry.text|text ]] [[ entry.place|text ]] [[ entry.label|text ]] [% if group.minor and not loop.last %]\mm-gap #10 [% endif %]
[% endfor %]
[% if group.minor %]}[% endif %]

[% if large and not line[-1].label and not loop.last %]
  \noPageBreak
[% endif %]
[% endfor %]
[% endfor %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
