ragged-last-bottom = ##t ragged-bottom = ##t
    oddHeaderMarkup = \markup \mm-space #7.5 evenHeaderMarkup = \markup \mm-space #7.5
