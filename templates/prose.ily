% prose.ily -- pages to read: lines of text that a page may break between, rows of tables, pictures.

#(define (wrapped layout props width size lines)
   ;; LINES, each a list of words, wrapped to WIDTH mm at SIZE pt: one stencil a line
   (let* ((w (* width (mm->u layout))) (m (/ (printed-pt size) (ly:output-def-lookup layout 'text-font-size 12)))
          (set-props (cons (list (cons 'font-size (magnification->font-size m))
                                 (cons 'word-space (* m (chain-assoc-get 'word-space props 0.6)))
                                 (cons 'line-width w)) props))
          (found (append-map (lambda (words) (interpret-markup-list layout set-props
                                               (make-wordwrap-lines-markup-list (words-that-fit layout set-props width words)))) lines)))
     (for-each (lambda (s)
                 (if (> (interval-length (ly:stencil-extent s X)) (* 1.01 w))
                   (ly:warning "TEXT-OVERFLOW: a word is wider than ~a mm" width))) found)
     (if (null? found) (list empty-stencil) found)))
#(define (pile stencils lead)
   ;; STENCILS as lines LEAD apart, as high as that many lines whatever their letters
   (let ((n (length stencils)))
     (ly:make-stencil
       (ly:stencil-expr (apply ly:stencil-add
         (map (lambda (s k) (ly:stencil-translate-axis s (* -1 k lead) Y)) stencils (iota n))))
       (cons 0 (apply max 0 (map (lambda (s) (interval-end (ly:stencil-extent s X))) stencils)))
       (cons (- (* -1 lead (1- n)) (* 0.28 lead)) (* 0.72 lead)))))
#(define (unbroken stencils)
   ;; lines that stay together: no first and no last line of a paragraph stands alone on its page
   (let ((n (length stencils)))
     (if (< n 4) (list stencils)
       (append (list (list-head stencils 2)) (map list (list-head (list-tail stencils 2) (- n 4)))
         (list (list-tail stencils (- n 2)))))))
#(define (under head before stencil)
   ;; HEAD over STENCIL, BEFORE over both
   (let* ((top (interval-end (ly:stencil-extent stencil Y))) (y (ly:stencil-extent head Y))
          (low (if (interval-empty? y) 0 (interval-start y))) (tall (if (interval-empty? y) 0 (interval-length y)))
          (both (ly:stencil-add stencil (ly:stencil-translate-axis head (- top low) Y))))
     (ly:make-stencil (ly:stencil-expr both) (ly:stencil-extent both X)
       (cons (interval-start (ly:stencil-extent stencil Y)) (+ top tall before)))))
#(define-markup-list-command (prose-lines layout props indent width size lead before mark above lines)
   (number? number? number? number? number? markup? markup? list?)
   ;; a paragraph INDENT mm from the left; MARK stands before its first line, the markup ABOVE over it, on one page with it
   (let* ((u (mm->u layout)) (l (* lead (/ (printed-pt size) size) 0.3528 u))
          (shift (lambda (s x) (ly:stencil-translate-axis s (* x u) X)))
          (set (map (lambda (s) (shift s indent)) (wrapped layout props width size lines)))
          (sign (shift (interpret-markup layout props #{ \markup \abs-fontsize #size #mark #}) (- indent 5.5)))
          (boxes (map (lambda (g) (pile g l)) (unbroken (cons (ly:stencil-add (car set) sign) (cdr set))))))
     (cons (under (interpret-markup layout props above) (* before u) (car boxes)) (cdr boxes))))
#(define-markup-command (side-head layout props indent txt) (number? string?)
   ;; a heading beside its text: set as the mark of a paragraph, it begins at the left margin
   (let ((s (interpret-markup layout props #{ \markup \headed \para #(- indent 4) #11 #13 #txt #})))
     (ly:stencil-translate-axis s (* (- 5.5 indent) (mm->u layout)) X)))
#(define-markup-command (prose-row layout props size lead thick cells) (number? number? number? list?)
   ;; a row of a table and the rule under it; CELLS are lists (x width align words), in mm
   (let* ((u (mm->u layout)) (l (* lead (/ (printed-pt size) size) 0.3528 u)) (pad (* 1.1 u))
          (set (map (lambda (cell)
                 (let ((x (* u (car cell))) (w (* u (cadr cell))) (align (caddr cell)))
                   (map (lambda (s)
                          (let ((free (- w (max 0 (interval-end (ly:stencil-extent s X))))))
                            (ly:stencil-translate-axis s
                              (+ x (case align ((right) free) ((center) (* 0.5 free)) (else 0))) X)))
                     (wrapped layout props (cadr cell) size (list (cadddr cell))))))
               cells))
          (lines (map (lambda (column) (pile column l)) set))
          (low (- (apply min 0 (map (lambda (s) (interval-start (ly:stencil-extent s Y))) lines)) pad))
          (left (* u (car (car cells)))) (last (car (last-pair cells))) (right (* u (+ (car last) (cadr last)))))
     (ly:make-stencil
       (ly:stencil-expr (ly:stencil-add (apply ly:stencil-add lines)
         (ly:round-filled-box (cons left right) (cons low (+ low (* (rule-mm thick) u))) 0)))
       (cons 0 right) (cons low (+ (* 0.72 l) pad)))))
#(define-markup-list-command (prose-score layout props air above score) (number? markup? ly:score?)
   ;; the systems of SCORE as lines of the page, AIR mm around each; ABOVE stays with the first. As systems of the page
   ;; itself they would be higher than LilyPond reckons when it breaks pages.
   (let* ((u (mm->u layout))
          (systems (interpret-markup-list layout props (make-score-lines-markup-list score)))
          (boxes (map (lambda (s)
                        (let ((y (ly:stencil-extent s Y)))
                          (ly:make-stencil (ly:stencil-expr s) (ly:stencil-extent s X)
                            (cons (- (car y) (* air u)) (+ (cdr y) (* air u)))))) systems)))
     (cons (under (interpret-markup layout props above) 0 (car boxes)) (cdr boxes))))
