\stack {
        \fit #[[ facts_mm ]] #0.8 \abs-fontsize #12.5 \sans \bold [[ page.start_line|text ]]
        \mm-space #1.6
        \fit #[[ facts_mm ]] #0.8 \abs-fontsize #9 \sans [[ page.facts|text ]]
      }
