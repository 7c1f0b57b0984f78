[#- Laid over finished pages: one page-sized stencil a side, nothing else. -#]
\bookpart {
  \paper {
    left-margin = 0 right-margin = 0 top-margin = 0 bottom-margin = 0
    page-count = [[ sides|length ]]
[% if logo %]
    head-logo = #(list [[ logo.width_mm ]] [[ logo.height_mm ]] [[ logo.text|text ]])
[% endif %]
    ragged-last-bottom = ##t ragged-bottom = ##t
    top-markup-spacing = #'((basic-distance . 0) (padding . 0) (stretchability . 0))
    last-bottom-spacing = #'((basic-distance . 0) (padding . 0) (stretchability . 0))
  }
[% for side in sides %]
  \markup \furniture #[[ paper.width_mm ]] #[[ paper.height_mm ]] #[[ paper.side_mm ]] ##[[ "t" if side.outer_left else "f" ]] [[ side.head|text ]] [[ side.level|text ]] [[ side.foot|text ]] [[ side.label|text ]] [[ side.tab|text ]] #[[ side.tab_x_mm ]] #[[ side.tab_y_mm ]] ##[[ "t" if side.tab_filled else "f" ]]
[% if not loop.last %]
  \pageBreak
[% endif %]
[% endfor %]
}
