[#- Slips to cut out, one a week: every study with a box for each day on which it comes up. -#]
\bookpart {
  \paper { page-count = [[ page.sides|length ]] [% include "book/measured_page.ly" %] }
[% for side in page.sides %]
  \markup \row #8 \italic \heading #[[ line_mm ]] #10 #8 [[ page.lead|text ]]
[% for slip in side.slips %]
  \markup \stack { \cut-line #[[ line_mm ]] \mm-space #3 }
[% if large %]
  \noPageBreak
[% endif %]
  \markup \row #9 \mm-line #[[ line_mm ]] \concat { \abs-fontsize #16 \headed [[ slip.heading|text ]] \mm-gap #6 \abs-fontsize #8.5 \sans [[ book.title|text ]] } \abs-fontsize #9 \sans [[ slip.minutes|text ]]
[% if large %]
  \noPageBreak
[% endif %]
  \markup \row #9 \concat { [% if page.student %]\mm-width #[[ across(92) ]] \concat { \abs-fontsize #9.5 \sans [[ page.name|text ]] \mm-gap #3 \abs-fontsize #11 \bold \cut-to #[[ across(70) ]] #0.8 [[ page.student|text ]] } [% else %]\write-line [[ page.name|text ]] #[[ across(80) ]] [% endif %] \mm-gap #8 \write-line [[ page.sign|text ]] #[[ across(30) ]] }
[% if large %]
  \noPageBreak
[% endif %]
  \markup \banded #[[ line_mm ]] #5.5 \concat { \mm-gap #1.5 \sans \bold \cell #[[ both_mm ]] #8 [[ page.heads[0]|text ]] \sans \bold \cell #[[ page_mm ]] #8 [[ page.heads[1]|text ]] \sans \bold \cell #[[ tempo_mm ]] #8 [[ page.heads[2]|text ]] [% for day in slip.days %]\sans \bold \cell #[[ day_mm ]] #8 [[ day|text ]] [% endfor %]}
[% if large %]
  \noPageBreak
[% endif %]
[% for line in slip.rows %]
  \markup \ruled #[[ line_mm ]] #[[ side.pitch_mm ]] \concat { \mm-gap #1.5 [% if line.label %]\with-url #[[ ("mark:" ~ line.study)|text ]] [% endif %]\concat { \sans \cell #[[ title_mm ]] #9.5 [[ line.title|text ]] \sans \cell #[[ id_mm ]] #8 [[ (line.study|place if placed else line.study)|text ]] \sans \bold \cell #[[ page_mm ]] #9.5 [[ line.label|text ]] } \sans \bold \cell #[[ tempo_mm ]] #9.5 [[ line.tempo|text ]] [% for due in line.days %]\mm-width #[[ day_mm ]] [% if due %]\tick-box #[[ 4.6 if large else 3.2 ]] [% else %]\null [% endif %][% endfor %]}
[% if large and slip.rows|length <= kept and not loop.last %]
  \noPageBreak
[% endif %]
[% endfor %]
  \markup \mm-space #6
[% if loop.last %]
  \markup \cut-line #[[ line_mm ]]
[% endif %]
[% endfor %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
