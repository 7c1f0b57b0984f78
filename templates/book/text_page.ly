ragged-last-bottom = ##t ragged-bottom = ##t
    oddHeaderMarkup = \markup \mm-space #5 evenHeaderMarkup = \markup \mm-space #5
