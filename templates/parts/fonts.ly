[#- The book's own fonts first; what one of them lacks comes from the other, then from those that travel along. -#]
[% macro families(first, second, last) -%]
"[% if first %][[ first[0].family ]],[% else %][[ last ]],[% endif %][% if second %][[ second[0].family ]],[% endif %][[ last ]]"
[%- endmacro %]
\paper {
  property-defaults.fonts.serif = [[ families(fonts.text, fonts.labels, "TeX Gyre Schola") ]]
  property-defaults.fonts.sans = [[ families(fonts.labels, fonts.text, "TeX Gyre Heros") ]]
}
