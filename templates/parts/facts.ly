\stack {
        \sans \bold \heading #[[ facts_mm ]] #12.5 #10 [[ page.start_line|text ]]
        \mm-space #1.6
        \sans \heading #[[ facts_mm ]] #9 #7.5 [[ page.facts|text ]]
      }
