\stack { \mm-space #5 \unless \on-first-page-of-part \stack { \mm-space #3 \abs-fontsize #12 \italic \cut-to #[[ line_mm ]] #0.8 [[ page.continued|text ]] } }
