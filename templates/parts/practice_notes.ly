\mm-space #2.5
        \abs-fontsize #12 \headed [[ page.notes_title|text ]]
        \mm-space #2
[% for line in page.notes %]
        \fit #[[ line_mm ]] #0.75 \abs-fontsize #10.5 [[ line|text ]]
        \mm-space #1.5
[% endfor %]
        \mm-space #3
