[#- An exercise for its teacher: answers, what to listen and look for, what goes wrong, places, lines to write on. -#]
\bookpart {
  \paper {[% include "parts/handed.ly" %] [% include "book/measured_page.ly" %] }
  \markup \stack { \headed \heading #[[ line_mm ]] #23 #16 [[ page.title|breakable(breaks) ]]
[% if page.aim %]
    \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.aim|breakable(breaks) ]]
[% endif %]
    \mm-space #2 \abs-fontsize #9 \sans \cut-to #[[ line_mm ]] #0.85 [[ page.facts|text ]] \mm-space #3.5 }
[% for question, answer in page.answers %]
  \markup \text-row #'(32 [[ answer_mm ]]) #0.9 #(list #{ \markup \sans \bold \cell #32 #9 [[ question|text ]] #} #{ \markup \para #[[ answer_mm ]] #10 #12.5 [[ answer|text ]] #})
[% endfor %]
  \markup \mm-space #5
[% if page.skills %]
  \markup \banded #[[ line_mm ]] #5.5 \concat { \sans \bold \cell #32 #8.5 [[ page.skill_heads[0]|text ]] [% for head in page.skill_heads[1:] %]\sans \bold \cell #[[ third_mm ]] #8.5 [[ head|text ]] [% endfor %]}
[% for each in page.skills %]
  \markup \text-row #'(32 [[ third_mm ]] [[ third_mm ]] [[ third_mm ]]) #1.4 #(list #{ \markup \sans \bold \para #29 #8.5 #10.5 [[ each.skill|text ]] #} [% for told in (each.listen, each.look, each.fault) %]#{ \markup \sans \para #[[ told_mm ]] #8.5 #10.5 [[ told|text ]] #} [% endfor %])
[% endfor %]
[% endif %]
  \markup \stack { \mm-space #6 \abs-fontsize #13 \headed [[ page.places_title|text ]] \mm-space #3
    [% with neck_map = page.neck_map %][% include "parts/neck_map.ly" %][% endwith %]
    \mm-space #3 }
  \markup \ruled #[[ line_mm ]] #5.5 \with-color #ink-mid \concat { [% for head in page.place_heads %]\sans \bold \cell #[[ place_mm[loop.index0] ]] #7.6 [[ head|text ]] [% endfor %]}
[% for each in page.places %]
  \markup \ruled #[[ line_mm ]] #6 [% if each.label %]\with-url #[[ ("mark:" ~ each.study)|text ]] [% endif %]\concat { \sans \cell #[[ place_mm[0] ]] #9.5 [[ each.place|text ]] \sans \cell #[[ place_mm[1] ]] #9 [[ (each.study|place if narrow else each.study)|text ]] \sans \bold \cell #[[ place_mm[2] ]] #9.5 [[ each.label|text ]] \sans \cell #[[ place_mm[3] ]] #9 [[ each.levels|text ]] }
[% endfor %]
[% if note_lines > 1 %]
  \markup \stack { \mm-space #6 \abs-fontsize #13 \headed [[ page.notes_title|text ]] \mm-space #1 \write-lines #[[ line_mm ]] #[[ note_lines ]] #8 }
[% endif %]
}
