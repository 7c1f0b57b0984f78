% curriculum.ily -- what only the pages of a curriculum need: rows of exact height, tables of text, slips, drawings.
% Comes after style.ily. Lengths are millimetres.

#(define cap-half 1)  % half the height of a figure in a table, in mm
#(define-markup-command (row layout props height arg) (number? markup?)
   ;; a line exactly HEIGHT mm high, capitals in its middle, so that rows pile up to what was counted
   (let* ((u (mm->u layout)) (s (interpret-markup layout props arg)) (half (* 0.5 u height)) (lift (* 1.1 u)))
     (ly:make-stencil (ly:stencil-expr s) (ly:stencil-extent s X) (cons (- lift half) (+ lift half)))))
#(define-markup-command (banded layout props width height arg) (number? number? markup?)
   (let* ((s (interpret-markup layout props (make-row-markup height arg))))
     (if low-ink (interpret-markup layout props (make-ruled-markup width height arg))
       (ly:stencil-add
         (stencil-with-color
           (ly:round-filled-box (cons 0 (* width (mm->u layout))) (ly:stencil-extent s Y) 0) ink-pale)
         s))))
#(define-markup-command (ruled layout props width height arg) (number? number? markup?)
   ;; a row with a hairline under it
   (let* ((s (interpret-markup layout props (make-row-markup height arg))) (u (mm->u layout))
          (low (interval-start (ly:stencil-extent s Y))))
     (ly:make-stencil
       (ly:stencil-expr (ly:stencil-add s (make-line-stencil (* u (rule-mm 0.12)) 0 low (* width u) low)))
       (cons 0 (* width u)) (ly:stencil-extent s Y))))
#(define-markup-command (cell layout props width size txt) (number? number? string?)
   ;; one line in a cell of WIDTH mm at SIZE pt, never under 7.6 pt; what is longer still is cut off
   (interpret-markup layout props
     #{ \markup \mm-width #width \abs-fontsize #size \cut-to #(- width 2) #(min 1 (/ 7.6 size)) #txt #}))
#(define-markup-command (text-row layout props widths air cells) (list? number? list?)
   ;; paragraphs side by side on one first line, AIR mm over and under them, a hairline below
   (let* ((u (mm->u layout)) (st empty-stencil) (width (* u (apply + widths)))
          (drawn (map (lambda (m) (interpret-markup layout props m)) cells))
          (inked (remove (lambda (s) (interval-empty? (ly:stencil-extent s Y))) drawn))
          (high (apply max (* u 2.3) (map (lambda (s) (interval-end (ly:stencil-extent s Y))) inked)))
          (low (apply min (* u -0.6) (map (lambda (s) (interval-start (ly:stencil-extent s Y))) inked)))
          (bottom (- low (* u air))))
     (let loop ((x 0) (ss drawn) (ws widths))
       (when (pair? ss)
         (set! st (ly:stencil-add st (ly:stencil-translate-axis (car ss) x X)))
         (loop (+ x (* u (car ws))) (cdr ss) (cdr ws))))
     (ly:make-stencil
       (ly:stencil-expr (ly:stencil-add st (make-line-stencil (* u (rule-mm 0.12)) 0 bottom width bottom)))
       (cons 0 width) (cons bottom (+ high (* u air))))))
#(define-markup-command (tick-box layout props size) (number?)
   (let* ((u (mm->u layout)) (a (* u size)))
     (ly:stencil-translate-axis
       (make-path-stencil `(moveto 0 0 lineto ,a 0 lineto ,a ,a lineto 0 ,a closepath) (* 0.2 u) 1 1 #f)
       (* u (- 1.1 (* 0.5 size))) Y)))
#(define-markup-command (upright layout props height txt) (number? string?)
   ;; the head of a narrow column: read from below, as high as its letters need, at most HEIGHT mm
   (let ((s (interpret-markup layout props #{ \markup \abs-fontsize #8 \sans \cut-to #height #0.95 #txt #})))
     (ly:stencil-aligned-to (ly:stencil-aligned-to (ly:stencil-rotate-absolute s 90 0 0) Y DOWN) X CENTER)))
#(define-markup-command (cut-line layout props width) (number?)
   (let* ((u (mm->u layout)) (st empty-stencil))
     (for-each (lambda (k) (set! st (ly:stencil-add st (make-line-stencil (* u 0.25) (* u 5 k) 0 (* u (+ 3 (* 5 k))) 0))))
       (iota (quotient (inexact->exact (floor (+ width 2))) 5)))
     (ly:make-stencil (ly:stencil-expr st) (cons 0 (* u width)) (cons (* u -0.15) (* u 0.15)))))
#(define-markup-command (write-lines layout props width count pitch) (number? integer? number?)
   (let* ((u (mm->u layout)) (st empty-stencil))
     (for-each (lambda (k) (let ((y (* u pitch (- (1+ k)))))
                 (set! st (ly:stencil-add st (make-line-stencil (* u 0.12) 0 y (* u width) y)))))
       (iota count))
     (ly:make-stencil (ly:stencil-expr st) (cons 0 (* u width)) (cons (* u pitch (- count)) 0))))

% --- marks to ring ------------------------------------------------------------------------------------
#(define-markup-command (marks layout props count width) (integer? number?)
   ;; 0 1 2 …, spread over WIDTH mm
   (let* ((u (mm->u layout)) (st empty-stencil) (step (/ (* u width) count)))
     (for-each
       (lambda (k)
         (let ((s (interpret-markup layout props #{ \markup \abs-fontsize #10 \sans #(number->string k) #})))
           (set! st (ly:stencil-add st (ly:stencil-translate-axis (ly:stencil-aligned-to s X CENTER) (* step (+ k 0.5)) X)))))
       (iota count))
     (ly:make-stencil (ly:stencil-expr st) (cons 0 (* u width)) (ly:stencil-extent st Y))))

% --- coverage -----------------------------------------------------------------------------------------
% A neck as a table: a row a string, a column a fret, CELLS of (string fret grey count). The number says what the
% shade says.
#(define-markup-command (neck-counts layout props names first frets cell-mm row-mm cells) (list? integer? integer? number? number? list?)
   (let* ((u (mm->u layout)) (cw (* u cell-mm)) (ch (* u row-mm)) (left (* u 6)) (n (length names))
          (H (* ch n)) (W (+ left (* cw frets))) (st empty-stencil))
     (define (turned x) (if (left-handed? layout) (- W x) x))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (define (text! m x y)
       (let ((s (interpret-markup layout props m)))
         (add! (ly:stencil-translate (ly:stencil-aligned-to (ly:stencil-aligned-to s X CENTER) Y CENTER) (cons x y)))))
     (for-each
       (lambda (c)
         (let* ((x (- (turned (+ left (* cw (+ 0.5 (- (cadr c) first))))) (* 0.5 cw))) (y (* -1 ch (1- (car c)))) (grey (caddr c)))
           (if (not low-ink)
             (add! (stencil-with-color (ly:round-filled-box (cons x (+ x cw)) (cons (- y ch) y) 0) (rgb-color grey grey grey))))
           (text! #{ \markup \abs-fontsize #7.6 \sans #(cadddr c) #} (+ x (* 0.5 cw)) (- y (* 0.5 ch)))))
       cells)
     (for-each (lambda (k) (add! (make-line-stencil (* u 0.15) (turned left) (* -1 ch k) (turned W) (* -1 ch k)))) (iota (1+ n)))
     (for-each (lambda (k) (let ((x (turned (+ left (* cw k)))))
                 (add! (make-line-stencil (* u (if (= (+ k first) 1) 1 0.15)) x 0 x (- H))))) (iota (1+ frets)))
     (for-each (lambda (k name) (text! #{ \markup \abs-fontsize #9 \sans \bold \note-name #name #} (turned (* u 2.2)) (* -1 ch (+ k 0.5))))
       (iota n) names)
     (for-each (lambda (k) (text! #{ \markup \abs-fontsize #7.6 \sans \bold #(number->string (+ k first)) #}
                             (turned (+ left (* cw (+ k 0.5)))) (- (+ H (* u (+ 2 cap-half))))))
       (iota frets))
     (ly:stencil-aligned-to st Y UP)))
#(define-markup-command (shade-key layout props shades) (list?)
   ;; SHADES of (grey . range); with little ink the numbers alone say it
   (interpret-markup layout props
     (if low-ink #{ \markup \null #} (make-concat-markup
       (append-map
         (lambda (s)
           (list #{ \markup \shade #(car s) #} #{ \markup \mm-gap #1.5 #}
             #{ \markup \abs-fontsize #8.5 \sans #(cdr s) #} #{ \markup \mm-gap #6 #}))
         shades)))))
#(define-markup-command (shade layout props grey) (number?)
   (let ((u (mm->u layout)))
     (ly:stencil-add
       (stencil-with-color (ly:round-filled-box (cons 0 (* u 7)) (cons (* u -0.9) (* u 3.1)) 0) (rgb-color grey grey grey))
       (make-path-stencil `(moveto 0 ,(* u -0.9) lineto ,(* u 7) ,(* u -0.9) lineto ,(* u 7) ,(* u 3.1) lineto 0 ,(* u 3.1) closepath)
         (* 0.15 u) 1 1 #f))))
#(define-markup-command (hole-mark layout props radius thick) (number? number?)
   (let ((u (mm->u layout)))
     (ly:stencil-translate (make-circle-stencil (* u radius) (* u thick) #f) (cons 0 (* u 0.95)))))
% A table of counts: HEADS stand upright; ROWS of (name cell …), "hole" and "small-hole" are drawn as rings.
#(define-markup-command (count-table layout props name-mm cell-mm head-mm row-mm heads rows)
   (number? number? number? number? list? list?)
   (let* ((u (mm->u layout)) (left (* u name-mm)) (cw (* u cell-mm)) (top (* -1 u head-mm)) (h (* u row-mm))
          (W (+ left (* cw (length heads)))) (H (* h (length rows))) (st empty-stencil))
     (define (put! m x y align)
       (set! st (ly:stencil-add st
         (ly:stencil-translate (ly:stencil-aligned-to (interpret-markup layout props m) X align) (cons x y)))))
     (define (line! x1 y1 x2 y2 t) (set! st (ly:stencil-add st (make-line-stencil (* u t) x1 y1 x2 y2))))
     (for-each (lambda (k head) (put! #{ \markup \upright #(- head-mm 2) #head #} (+ left (* cw (+ k 0.5)) (* u 0.2)) (+ top (* u 1)) CENTER))
       (iota (length heads)) heads)
     (line! 0 top W top 0.3)
     (for-each
       (lambda (k row)
         (let ((base (- top (* h (+ k 0.5)) (* u cap-half))))
           (put! #{ \markup \abs-fontsize #8.5 \sans \cut-to #(- name-mm 1.5) #0.9 #(car row) #} 0 base LEFT)
           (for-each
             (lambda (n c)
               (put! (cond ((string=? c "hole") #{ \markup \hole-mark #1.2 #0.5 #})
                           ((string=? c "small-hole") #{ \markup \hole-mark #0.7 #0.2 #})
                           (else #{ \markup \abs-fontsize #7.6 \sans #c #}))
                 (+ left (* cw (+ n 0.5))) base CENTER))
             (iota (length (cdr row))) (cdr row))
           (line! 0 (- top (* h (1+ k))) W (- top (* h (1+ k))) 0.1)))
       (iota (length rows)) rows)
     (for-each (lambda (k) (let ((x (+ left (* cw k)))) (line! x top x (- top H) 0.1))) (iota (1+ (length heads))))
     st))
% The curve of difficulty: SCORES in the order of the book, LEVELS of (index number) where one begins, JUMPS of
% (index number): the step up to that study.
#(define jump-radius 2)
#(define-markup-command (score-curve layout props width height top scores levels jumps)
   (number? number? number? list? list? list?)
   (let* ((u (mm->u layout)) (left (* u 9)) (W (- (* u width) left)) (H (* u height)) (n (length scores))
          (step (/ W (max 1 (1- n)))) (st empty-stencil)
          (x (lambda (k) (+ left (* step k)))) (y (lambda (score) (* H (/ score top)))))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (define (put! m px py align)
       (add! (ly:stencil-translate (ly:stencil-aligned-to (interpret-markup layout props m) X align) (cons px py))))
     (for-each
       (lambda (k)
         (add! (stencil-with-color (make-line-stencil (* u 0.15) left (y (* 10 k)) (+ left W) (y (* 10 k))) (rgb-color 0.6 0.6 0.6)))
         (put! #{ \markup \abs-fontsize #8 \sans #(number->string (* 10 k)) #} (- left (* u 1.5)) (- (y (* 10 k)) (* u 1)) RIGHT))
       (iota (1+ (quotient (inexact->exact (round top)) 10))))
     (for-each
       (lambda (l)
         (let ((px (- (x (car l)) (* 0.5 step))))
           (if (> (car l) 0) (add! (make-line-stencil (* u 0.2) px 0 px (+ H (* u 5)))))
           (put! #{ \markup \abs-fontsize #10 \sans \bold #(number->string (cadr l)) #} (min (- (+ left W) (* 3 u cap-half)) (+ (max left px) (* u 0.7))) (+ H (* u 1.5)) LEFT)))
       levels)
     (for-each
       (lambda (k a b) (add! (make-line-stencil (* u 0.3) (x k) (y a) (x (1+ k)) (y b))))
       (iota (max 0 (1- n))) scores (if (pair? scores) (cdr scores) '()))
     (for-each (lambda (k a) (add! (ly:stencil-translate (make-circle-stencil (* u 0.6) 0 #t) (cons (x k) (y a))))) (iota n) scores)
     (for-each
       (lambda (j)
         (let* ((k (car j)) (a (list-ref scores (1- k))) (b (list-ref scores k)) (cx (x k)) (cy (+ (y b) (* u (+ 1.2 jump-radius)))))
           (add! (make-line-stencil (* u 1) (x (1- k)) (y a) (x k) (y b)))
           (add! (ly:stencil-translate (stencil-with-color (make-circle-stencil (* u jump-radius) 0 #t) white) (cons cx cy)))
           (add! (ly:stencil-translate (make-circle-stencil (* u jump-radius) (* u 0.2) #f) (cons cx cy)))
           (put! #{ \markup \abs-fontsize #7.6 \sans \bold #(number->string (cadr j)) #} cx (- cy (* u 0.95 cap-half)) CENTER)))
       jumps)
     (add! (make-line-stencil (* u 0.3) left 0 (+ left W) 0))
     (add! (make-line-stencil (* u 0.3) left 0 left H))
     (ly:stencil-aligned-to st Y UP)))

% --- measuring ----------------------------------------------------------------------------------------
#(define ruler-step 10)  % millimetres from figure to figure
#(define-markup-command (ruler layout props length mm) (integer? number?)
   ;; true millimetres from 0 to LENGTH; on a page printed smaller one takes MM
   (let* ((u (mm->u layout)) (x (lambda (k) (* u mm k))) (st empty-stencil))
     (for-each
       (lambda (k)
         (let ((deep (cond ((= 0 (modulo k 10)) 9) ((= 0 (modulo k 5)) 6.5) (else 4.5))))
           (set! st (ly:stencil-add st (make-line-stencil (* u (if (= 0 (modulo k 10)) 0.25 0.15)) (x k) 0 (x k) (* u (- deep)))))
           (if (= 0 (modulo k ruler-step))
             (let ((s (interpret-markup layout props #{ \markup \abs-fontsize #10 \sans \bold #(number->string k) #})))
               (set! st (ly:stencil-add st (ly:stencil-translate (ly:stencil-aligned-to s X CENTER) (cons (x k) (* u -13)))))))))
       (iota (1+ length)))
     (ly:stencil-add st (make-line-stencil (* u 0.25) 0 0 (x length) 0))))
#(define-markup-command (outline layout props width height) (number? number?)
   ;; an empty frame of exact size
   (let* ((u (mm->u layout)) (w (* u width)) (h (* u height)))
     (make-path-stencil `(moveto 0 0 lineto ,w 0 lineto ,w ,h lineto 0 ,h closepath) (* 0.2 u) 1 1 #f)))
