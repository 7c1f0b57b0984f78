\neck-map #'((width . [[ neck_map.width_mm ]]) (string-gap . [[ neck_map.gap_mm ]]) (first . [[ neck_map.first ]]) (last . [[ neck_map.last ]])
        (strings . ([% for name in neck_map.strings %][[ name|text ]] [% endfor %]))
        (bold-strings . ([% for string in neck_map.bold_strings %][[ string ]] [% endfor %]))
        (used . ([% for fret in neck_map.used_frets %][[ fret ]] [% endfor %]))
        [% if neck_map.band %](band . ([[ neck_map.band[0] ]] . [[ neck_map.band[1] ]]))[% endif %]
        [% if neck_map.open_notes %](open . #t)[% endif %]
        (dots . ([% for dot in neck_map.dots %]([[ dot.string ]] [[ dot.fret ]] [[ dot.name|text ]] [[ dot.kind ]]) [% endfor %])))
