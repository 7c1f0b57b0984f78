[% include "book/text_page.ly" %]

    last-bottom-spacing = #'((basic-distance . 0) (padding . 1) (stretchability . 0))
