[#- A side of the plan: a week or two, day by day, and lines to write on where room is left. -#]
\bookpart {
  \paper { page-count = [[ pages|length ]] [% include "book/measured_page.ly" %] }
[% for page in pages %]
[% for week in page.weeks %]
[% if not loop.first %]
  \markup \mm-space #8
[% endif %]
  \markup \row #11 \mm-line #[[ line_mm ]] \abs-fontsize #20 \headed [[ week.heading|text ]] \abs-fontsize #11 \sans [[ week.minutes|text ]]
[% if large %]
  \noPageBreak
[% endif %]
[% if large %]
  \markup \ruled #[[ line_mm ]] #5.5 \concat { \mm-gap #9 \sans \bold \cell #[[ title_mm ]] #8 [[ page.heads[0]|text ]] [% for head in page.heads[1:] %]\sans \bold \cell #[[ columns_mm[loop.index0] ]] #8 [[ head|text ]] [% endfor %]}
  \noPageBreak
[% else %]
  \markup \ruled #[[ line_mm ]] #5.5 \concat { \mm-gap #16 \with-color #ink-mid \concat { \sans \bold \cell #[[ title_mm ]] #7.6 [[ page.heads[0]|text ]] \mm-gap #[[ id_mm ]] \sans \bold \cell #11 #7.6 [[ page.heads[1]|text ]] \sans \bold \cell #13 #7.6 [[ page.heads[2]|text ]] \sans \bold \cell #10 #7.6 [[ page.heads[3]|text ]] \sans \bold \cell #24 #7.6 [[ page.heads[4]|text ]] } }
[% endif %]
  \markup \mm-space #2
[% if large %]
  \noPageBreak
[% endif %]
[% for day in week.days %]
  \markup \banded #[[ line_mm ]] #5.6 \concat { \mm-gap #1.5 \sans \bold \cell #60 #10.5 [[ day.heading|text ]] \sans \cell #40 #9 [[ day.minutes|text ]] }
[% if large %]
  \noPageBreak
[% endif %]
[% for turn in day.turns %]
[% if large %]
  \markup \ruled #[[ line_mm ]] #[[ page.pitch_mm ]] \concat { \mm-width #9 \tick-box #4.6 [% if turn.label %]\with-url #[[ ("mark:" ~ turn.study)|text ]] [% endif %]\concat { \sans \cell #[[ title_mm ]] #10 [[ (turn.title ~ ", " ~ turn.study|place ~ (" (" ~ turn.fresh ~ ")" if turn.fresh else ""))|text ]] \sans \bold \cell #[[ columns_mm[0] ]] #10 [[ turn.label|text ]] } \sans \bold \cell #[[ columns_mm[1] ]] #10 [[ turn.tempo|text ]] \sans \cell #[[ columns_mm[2] ]] #10 [[ turn.minutes|text ]] \sans \cell #[[ columns_mm[3] ]] #10 [[ turn.cue|text ]] }
[% else %]
  \markup \ruled #[[ line_mm ]] #[[ page.pitch_mm ]] \concat { \mm-width #6 \tick-box #2.6 \sans \bold \cell #10 #8.5 [[ turn.fresh|text ]] [% if turn.label %]\with-url #[[ ("mark:" ~ turn.study)|text ]] [% endif %]\concat { \sans \cell #[[ title_mm ]] #10 [[ turn.title|text ]] \sans \cell #[[ id_mm ]] #8 [[ (turn.study|place if narrow else turn.study)|text ]] \sans \bold \cell #11 #9.5 [[ turn.label|text ]] } \sans \bold \cell #13 #10 [[ turn.tempo|text ]] \sans \cell #10 #9.5 [[ turn.minutes|text ]] \sans \cell #24 #9 [[ turn.cue|text ]] }
[% endif %]
[% if turn.rest %]
  \markup \row #[[ page.pitch_mm ]] \concat { \mm-gap #16 \abs-fontsize #9 \italic [[ turn.rest|text ]] }
[% endif %]
[% endfor %]
  \markup \mm-space #1.4
[% endfor %]
[% if week.free %]
  \markup \row #8 \abs-fontsize #10 \italic [[ week.free|text ]]
[% endif %]
[% endfor %]
[% if page.note_lines %]
  \markup \stack { \mm-space #5 \abs-fontsize #12 \headed [[ page.notes_title|text ]] \mm-space #1 \write-lines #[[ line_mm ]] #[[ page.note_lines ]] #8 }
[% endif %]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
