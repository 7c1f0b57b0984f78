[#- A level's two sheets: the candidate's and the assessor's. -#]
\bookpart {
  \paper { [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #3 }
[% for line in page.outcomes %]
[% if loop.first %]
  \markup \stack { \mm-space #3 \abs-fontsize #13 \headed [[ page.outcomes_title|text ]] \mm-space #1.5 }
[% if large %]
  \noPageBreak
[% endif %]
[% endif %]
  \markup \stack { \concat { \mm-width #5 \abs-fontsize #11 "–" \para #[[ text_mm ]] #11 #14 [[ line|text ]] } \mm-space #1.4 }
[% endfor %]
[% for table in page.tables %]
  \markup \stack { \mm-space #5 \abs-fontsize #13 \headed [[ table.heading|text ]] \mm-space #1.5 }
[% if large %]
  \noPageBreak
[% endif %]
  \markup \banded #[[ line_mm ]] #5.5 \concat { \mm-gap #1.5 \sans \bold \cell #[[ asked_head_mm ]] #8.5 [[ page.heads[0]|text ]] [% for head in page.heads[1:4] %]\sans \bold \cell #[[ asked_columns_mm[loop.index0] ]] #8.5 [[ head|text ]] [% endfor %]\sans \bold \cell #[[ asked_columns_mm[3] ]] #8.5 [[ page.heads[4]|text ]] }
[% if large %]
  \noPageBreak
[% endif %]
[% for each in table.rows %]
  \markup \text-row #'([[ asked_mm ]] [[ asked_columns_mm|join(' ') ]]) #[[ air_mm ]] #(list #{ \markup \stack { [% if each.label %]\with-url #[[ ("mark:" ~ each.study)|text ]] [% endif %]\concat { \mm-gap #1.5 \abs-fontsize #11.5 \bold \cut-to #[[ asked_name_mm ]] #0.75 [[ each.title|text ]] \mm-gap #3 \abs-fontsize #8.5 \sans \cut-to #[[ 20 if large else 44 ]] #0.9 [[ (each.study|place if placed else each.study)|text ]] } [% for line in each.instead %]\mm-space #[[ 1.6 if loop.first else 0.8 ]] \concat { \mm-gap #[[ 1.5 if loop.first else 4.5 ]] \abs-fontsize #8.5 \sans \cut-to #[[ instead_mm ]] #0.9 [[ line|text ]] } [% endfor %]} #} #{ \markup \sans \bold \cell #[[ asked_columns_mm[0] ]] #10 [[ each.label|text ]] #} #{ \markup \sans \bold \cell #[[ asked_columns_mm[1] ]] #10 [[ each.tempo|text ]] #} #{ \markup \sans \cell #[[ asked_columns_mm[2] ]] #10 [[ each.level|text ]] #} #{ \markup \three-circles #})
[% endfor %]
[% endfor %]
  \markup \stack { \mm-space #6 \abs-fontsize #13 \headed [[ page.rules_title|text ]] \mm-space #1.5 }
[% if large %]
  \noPageBreak
[% endif %]
[% for line in page.rules %]
  \markup \stack { \concat { \mm-width #5 \abs-fontsize #11 "–" \para #[[ text_mm ]] #10.5 #13.5 [[ line|text ]] } \mm-space #1.4 }
[% if large and not loop.last %]
  \noPageBreak
[% endif %]
[% endfor %]
[% if page.trial_rows %]
  \markup \stack { \mm-space #6 \abs-fontsize #13 \headed [[ page.trials_title|text ]] \mm-space #2 \ruled-table #(list [% for head, width in page.trial_heads %][[ head|text ]] [% endfor %]) #'([% for head, width in page.trial_heads %][[ width ]] [% endfor %]) #8 #(make-list [[ page.trial_rows ]] (make-list [[ page.trial_heads|length ]] "")) }
[% endif %]
  \pageBreak % two sheets, whatever else flows on
  \markup \stack { \headed \heading #[[ line_mm ]] #22 #16 [[ page.marking_title|text ]] \mm-space #5 }
[% if large %]
[% for field in page.fields %]
  \markup \stack { \concat { \mm-width #44 \abs-fontsize #9.5 \sans [[ field|text ]] \mm-rule #[[ line_mm - 44 ]] #0.15 } \mm-space #6 }
[% endfor %]
[% else %]
  \markup \stack { \concat { \write-line [[ page.fields[0]|text ]] #[[ across(50) if narrow else 56 ]] \mm-gap #5 \write-line [[ page.fields[1]|text ]] #[[ across(30) if narrow else 38 ]] \mm-gap #5 \write-line [[ page.fields[2]|text ]] #[[ across(16) if narrow else 20 ]] } \mm-space #5 }
[% endif %]
  \markup \stack { \concat { \abs-fontsize #9.5 \sans \bold [[ page.click[0]|text ]] \mm-gap #4 \tick-box #3.2 \mm-gap #1.5 \abs-fontsize #9.5 \sans [[ page.click[1]|text ]] \mm-gap #5 \tick-box #3.2 \mm-gap #1.5 \abs-fontsize #9.5 \sans [[ page.click[2]|text ]] } \mm-space #4 }
  \markup \banded #[[ line_mm ]] #5.5 \concat { \sans \bold \cell #[[ criterion_mm ]] #8.5 [[ page.band_heads[0]|text ]] [% for head in page.band_heads[1:] %]\sans \bold \cell #[[ band_mm ]] #8.5 [[ head|text ]] [% endfor %]}
[% if large %]
  \noPageBreak
[% endif %]
[% for each in page.criteria %]
  \markup \text-row #'([[ criterion_mm ]] [% for band in each.bands %][[ band_mm ]] [% endfor %]) #1.3 #(list #{ \markup \stack { \sans \bold \abs-fontsize #9.5 [[ page.mark_heads[loop.index + 3]|text ]] \mm-space #1 \sans \para #[[ across(47) ]] #8 #9.6 [[ each.look_for|text ]] } #} [% for band in each.bands %]#{ \markup \sans \para #[[ told_mm ]] #8.5 #10.5 [[ band|text ]] #} [% endfor %])
[% endfor %]
[% for side in page.mark_sides %]
[% if not loop.first %]
  \pageBreak
  \markup \row #9 \abs-fontsize #12 \italic [[ page.continued|text ]]
[% endif %]
  \markup \mm-space #5
[% if large %]
  \markup \banded #[[ line_mm ]] #5.5 \concat { \mm-gap #1.5 \sans \bold \cell #[[ try_mm ]] #8.5 [[ page.mark_heads[2]|text ]] \sans \bold \cell #[[ played_mm ]] #8.5 [[ page.mark_heads[3]|text ]] [% for head in page.mark_heads[4:-1] %]\sans \bold \cell #[[ mark_mm ]] #8.5 [[ head|text ]] [% endfor %]\sans \bold \cell #[[ sum_mm ]] #8.5 [[ page.mark_heads[-1]|text ]] }
[% if large %]
  \noPageBreak
[% endif %]
[% else %]
  \markup \banded #[[ line_mm ]] #5.5 \concat { \sans \bold \cell #[[ marked_mm ]] #8.5 [[ page.mark_heads[0]|text ]] \sans \bold \cell #[[ tempo_mm ]] #8.5 [[ page.mark_heads[1]|text ]] \sans \bold \cell #[[ try_mm ]] #8.5 [[ page.mark_heads[2]|text ]] \sans \bold \cell #[[ played_mm ]] #8.5 [[ page.mark_heads[3]|text ]] [% for head in page.mark_heads[4:-1] %]\sans \bold \cell #[[ mark_mm ]] #8.5 [[ head|text ]] [% endfor %]\sans \bold \cell #[[ sum_mm ]] #8.5 [[ page.mark_heads[-1]|text ]] }
[% if large %]
  \noPageBreak
[% endif %]
[% endif %]
[% for each in side.rows %]
[% if large %]
  \markup \stack { \mm-space #2 \row #9 \concat { \mm-gap #1.5 [% if each.title %]\abs-fontsize #10.5 \bold [[ each.title|text ]] \mm-gap #3 \abs-fontsize #8 \sans [[ each.study|place|text ]][% else %]\abs-fontsize #8 \sans [[ each.study|text ]] \mm-gap #3 \mm-rule #70 #0.12 [% endif %] \mm-gap #6 \abs-fontsize #8.5 \sans [[ page.mark_heads[1]|text ]] \mm-gap #2 [% if each.tempo %]\abs-fontsize #10 \sans \bold [[ each.tempo|text ]][% else %]\mm-rule #16 #0.12 [% endif %] } }
[% if large %]
  \noPageBreak
[% endif %]
[% for number in page.attempts %]
  \markup [% if loop.last %]\ruled #[[ line_mm ]] [% else %]\row [% endif %]#11 \concat { \mm-gap #1.5 \sans \cell #[[ try_mm ]] #10 [[ number|text ]] \mm-width #[[ played_mm ]] \mm-rule #[[ played_mm - 5 ]] #0.12 [% for each in page.criteria %]\marks #[[ each.bands|length ]] #[[ ringed_mm ]] \mm-gap #3 [% endfor %]\mm-rule #[[ sum_mm - 2 ]] #0.12 }
[% endfor %]
[% else %]
[% for number in page.attempts %]
  \markup [% if loop.last %]\ruled #[[ line_mm ]] [% else %]\row [% endif %]#[[ side.attempt_mm ]] \concat { [% if loop.first %][% if each.title %]\bold \cell #[[ marked_mm ]] #10.5 [[ each.title|text ]] \sans \bold \cell #[[ tempo_mm ]] #10 [[ each.tempo|text ]] [% else %]\mm-width #[[ marked_mm ]] \mm-rule #[[ written_mm ]] #0.12 \mm-width #[[ tempo_mm ]] \mm-rule #[[ tempo_mm - 4 ]] #0.12 [% endif %][% elif loop.index == 2 %]\sans \cell #[[ marked_mm ]] #8 [[ (each.study|place if placed else each.study)|text ]] \mm-gap #[[ tempo_mm ]] [% else %]\mm-gap #[[ marked_mm ]] \mm-gap #[[ tempo_mm ]] [% endif %]\sans \cell #[[ try_mm ]] #10 [[ number|text ]] \mm-width #[[ played_mm ]] \mm-rule #[[ played_mm - 5 ]] #0.12 [% for each in page.criteria %]\marks #[[ each.bands|length ]] #[[ ringed_mm ]] \mm-gap #3 [% endfor %]\mm-rule #[[ sum_mm - 2 ]] #0.12 }
[% endfor %]
[% endif %]
[% endfor %]
[% endfor %]
  \markup \stack { \mm-space #7 \concat { \tick-box #3.6 \mm-gap #1.5 \abs-fontsize #11 \bold [[ page.result[0]|text ]] \mm-gap #8 \tick-box #3.6 \mm-gap #1.5 \abs-fontsize #11 \bold [[ page.result[1]|text ]][% if not remarks %] \mm-gap #10 \write-line [[ page.result[2]|text ]] #[[ remarks_mm ]][% endif %] } }
[% if large and remarks %]
  \noPageBreak
[% endif %]
[% if remarks %]
  \markup \stack { \mm-space #6 \abs-fontsize #13 \headed [[ page.result[2]|text ]] \mm-space #1 \write-lines #[[ line_mm ]] #[[ remarks ]] #8 }
[% endif %]
}
