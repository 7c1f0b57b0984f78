\stack {
      \mm-rule #[[ line_mm ]] #0.25
      \mm-space #4
      \mm-line #[[ line_mm ]] \abs-fontsize #13 \cut-to #[[ page.author_mm ]] #0.7 [[ page.author|text ]] \abs-fontsize #11 \sans \cut-to #[[ page.edition_mm ]] #0.8 [[ page.edition|text ]]
      \mm-space #3
      \para #[[ line_mm ]] #9 #11.5 [[ page.licence|text ]]
      \mm-space #4
    }
