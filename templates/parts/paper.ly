#(set-default-paper-size "[[ paper.name ]]")
