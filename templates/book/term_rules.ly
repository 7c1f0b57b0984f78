[#- What a term was planned by: what it holds, what does not fit, every rule with what speaks for it. -#]
\bookpart {
  \paper { [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \para #[[ line_mm ]] #11 #13.5 [[ page.lead|text ]] \mm-space #3 }
[% if page.shortfall %]
  \markup \stack { \sans \bold \para #[[ line_mm ]] #9.5 #12.5 [[ page.shortfall|text ]] \mm-space #3 }
[% endif %]
[% for part in page.minutes %]
  \markup \banded #[[ line_mm ]] #5.2 \concat { \mm-gap #1.5 \sans \bold \cell #[[ head_mm ]] #8.5 [[ page.minutes_heads[0]|text ]] [% for each in part %]\sans \bold \cell #[[ minute_mm ]] #9 [[ each.week|text ]] [% endfor %]}
  \markup \ruled #[[ line_mm ]] #5.6 \concat { \mm-gap #1.5 \sans \cell #[[ head_mm ]] #8.5 [[ page.minutes_heads[1]|text ]] [% for each in part %]\sans \cell #[[ minute_mm ]] #9 [[ each.minutes|text ]] [% endfor %]}
[% endfor %]
  \markup \stack { \mm-space #5 \headed \heading #[[ line_mm ]] #13 #10.5 [[ page.rules_title|text ]] \mm-space #1.2 }
[% if large %]
  \noPageBreak
[% endif %]
[% for each in page.rules %]
  \markup \text-row #'([[ strength_mm ]] [[ rule_mm ]]) #1.4 #(list #{ \markup \sans \bold \cell #[[ strength_mm ]] #9 [[ each.strength|text ]] #} #{ \markup \stack { \headed \heading #[[ rule_mm ]] #10.5 #10.2 [[ each.rule|text ]] \mm-space #1.2 \sans \para #[[ rule_mm ]] #8.8 #10.8 [[ each.evidence|text ]] } #})
[% endfor %]
  \markup \mm-space #2.5
[% for name, meaning in page.strengths %]
  \markup \stack { \concat { \mm-width #[[ strength_mm ]] \abs-fontsize #8.5 \sans \bold [[ name|text ]] \sans \para #[[ rule_mm ]] #8.5 #10.5 [[ meaning|text ]] } \mm-space #[[ 2 if large else 0.9 ]] }
[% endfor %]
}
