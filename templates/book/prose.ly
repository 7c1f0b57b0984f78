\bookpart {
  \paper { [% include "book/text_page.ly" %] }
  \markup \stack { \bold \heading #[[ line_mm ]] #26 #18 [[ page.title|text ]] \mm-space #2 \italic \heading #[[ line_mm ]] #11.5 #9.5 [[ page.lead|text ]] \mm-space #4 }
[% for section in page.sections %]
  \markup \stack { \mm-space #4.4 \abs-fontsize #14 \bold [[ section.heading|text ]] \mm-space #1.6 \para #[[ line_mm ]] #11 #15 [[ section.paragraphs[0]|text ]] }
[% for paragraph in section.paragraphs[1:] %]
  \markup \stack { \mm-space #1.8 \para #[[ line_mm ]] #11 #15 [[ paragraph|text ]] }
[% endfor %]
[% endfor %]
}
