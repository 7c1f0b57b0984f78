\neck-map #'((width . [[ page.neck_map.width_mm ]]) (string-gap . [[ page.neck_map.gap_mm ]]) (first . [[ page.neck_map.first ]]) (last . [[ page.neck_map.last ]])
        (strings . ([% for name in page.neck_map.strings %][[ name|text ]] [% endfor %]))
        (bold-strings . ([% for string in page.neck_map.bold_strings %][[ string ]] [% endfor %]))
        (used . ([% for fret in page.neck_map.used_frets %][[ fret ]] [% endfor %]))
        [% if page.neck_map.band %](band . ([[ page.neck_map.band[0] ]] . [[ page.neck_map.band[1] ]]))[% endif %]
        [% if page.neck_map.open_notes %](open . #t)[% endif %]
        (dots . ([% for dot in page.neck_map.dots %]([[ dot.string ]] [[ dot.fret ]] [[ dot.name|text ]] [[ dot.kind ]]) [% endfor %])))
