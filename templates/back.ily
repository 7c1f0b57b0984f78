% back.ily -- the last pages: index, glossary, imprint.

#(define-markup-command (index-row layout props width height kind txt label) (number? number? string? string? string?)
   ;; one line of a column of the index, HEIGHT mm high; dots lead to a page number
   (let* ((u (mm->u layout)) (w (* width u))
          (set-at (lambda (m) (interpret-markup layout (prepend-alist-chain 'line-width w props) m)))
          (words (set-at
            (cond ((string=? kind "axis") #{ \markup \abs-fontsize #13 \headed \cut-to #width #0.7 #txt #})
                  ((or (string=? kind "heading") (string=? kind "more"))
                   #{ \markup \abs-fontsize #9 \sans \bold \cut-to #width #0.84 #txt #})
                  ((string=? kind "title") #{ \markup \abs-fontsize #8.5 \cut-to #width #0.82 #txt #})
                  ((string-null? label) #{ \markup \abs-fontsize #8 \sans \cut-to #width #0.88 #txt #})
                  (else #{ \markup \fill-with-pattern #0.7 #RIGHT \abs-fontsize #8 \with-color #ink-mid "."
                             \concat { \abs-fontsize #8 \sans \cut-to #(- width 9) #0.88 #txt \mm-gap #0.8 }
                             \concat { \mm-gap #0.8 \abs-fontsize #8.5 \sans \bold #label } #}))))
          (line (if (string=? kind "axis")
                  (ly:stencil-add words (ly:stencil-translate-axis (set-at #{ \markup \mm-rule #width #0.3 #}) (* -1.6 u) Y))
                  words)))
     (ly:make-stencil (ly:stencil-expr line) (cons 0 w) (cons (* -1.2 u) (* u (- height 1.2))))))

#(define-markup-command (index-column layout props width arg) (number? markup?)
   ;; columns hang from one line, however long they are
   (let ((s (ly:stencil-aligned-to (interpret-markup layout props arg) Y UP)))
     (ly:make-stencil (ly:stencil-expr s) (cons 0 (* width (mm->u layout))) (ly:stencil-extent s Y))))

#(define-markup-command (text-lines layout props width size lead txt) (number? number? number? string?)
   ;; a paragraph as high as its number of lines, whatever its letters, so that what follows is evenly spaced
   (let* ((u (mm->u layout)) (l (* lead 0.3528 u))
          (s (interpret-markup layout props #{ \markup \para #width #size #lead #txt #}))
          (low (interval-start (ly:stencil-extent s Y))))
     (ly:make-stencil (ly:stencil-expr s) (cons 0 (* width u))
       (cons (- (* -1 l (max 0 (round (/ (- (* -0.1 l) low) l)))) (* 0.28 l)) (* 0.72 l)))))
#(define-markup-command (glossary-entry layout props width name-width label-width name meaning label)
   (number? number? number? string? string? string?)
   (interpret-markup layout props #{ \markup \stack { \concat {
     \mm-width #name-width \abs-fontsize #10.5 \bold \cut-to #(- name-width 3) #0.75 #name
     \text-lines #(- width name-width label-width) #10.5 #14 #meaning
     \from-right #label-width \abs-fontsize #10.5 \sans \bold #label } \mm-space #2.2 } #}))
#(define-markup-command (from-right layout props width arg) (number? markup?)
   (let* ((u (mm->u layout)) (s (ly:stencil-aligned-to (interpret-markup layout props arg) X RIGHT)))
     (ly:make-stencil (ly:stencil-expr (ly:stencil-translate-axis s (* width u) X)) (cons 0 (* width u))
       (ly:stencil-extent s Y))))
