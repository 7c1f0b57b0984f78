[#- The words of the book: term, meaning, the page where it is first met. -#]
\bookpart {
  \paper { [% include "book/measured_page.ly" %]
[% if tight_mm %]
    markup-markup-spacing = #'((basic-distance . 0) (padding . -[[ (tight_mm / 1.757)|round(2) ]]) (stretchability . 0))
[% endif %]
  }
  \markup \stack { \headed \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #7 }
[% for term in page.terms %]
  \markup [% if term.label %]\with-url #[[ ("mark:" ~ term.target)|text ]] [% endif %]\glossary-entry #[[ line_mm ]] #[[ name_mm ]] #[[ label_mm ]] [[ term.name|text ]] [[ term.text|text ]] [[ term.label|text ]]
[% endfor %]
}
