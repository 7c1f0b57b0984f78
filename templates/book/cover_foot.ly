\stack {
      \mm-rule #[[ line_mm ]] #0.25
      \mm-space #4
      \mm-line #[[ line_mm ]] \fit #[[ page.author_mm ]] #0.5 \abs-fontsize #13 [[ page.author|text ]] \fit #[[ page.edition_mm ]] #0.5 \abs-fontsize #11 \sans [[ page.edition|text ]]
      \mm-space #3
      \para #[[ line_mm ]] #9 #11.5 [[ page.licence|text ]]
      \mm-space #4
    }
