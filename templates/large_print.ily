% large_print.ily -- what differs where every word is large. It comes last, and sets anew what others use.
% No text under 16 points, none in italics, none shrunk: what is too long for its place takes another line.
#(define enlarging #t)
% Sizes of LilyPond are counted in points of 1/72.27 inch, those of large print in points of 1/72 inch.
#(define (large-pt size) (if enlarging (* large-least (max 1 (/ (+ 16 (* 0.75 (- size 10))) 16))) size))
#(define (printed-pt size) (large-pt size))
#(define cap-half 2)
#(define jump-radius 3.7)
% A grid's figures of 7.5 points fill its discs: all of it grows with them.
#(define grid-size 2.15)
#(define ruler-step 20)
#(define map-label-drop 7)
#(define map-keeps-names #t)
#(define own-abs-fontsize abs-fontsize-markup)
#(define-markup-command (large-fontsize layout props size arg) (number? markup?)
   (own-abs-fontsize layout props (large-pt size) arg))
#(define-markup-command (no-italic layout props arg) (markup?)
   (interpret-markup layout props arg))
% LilyPond's own commands are replaced at their source: a second command of the same name would be a conflict.
#(module-set! (resolve-module '(lily)) 'abs-fontsize-markup large-fontsize-markup)
#(module-set! (resolve-module '(lily)) 'make-abs-fontsize-markup make-large-fontsize-markup)
#(module-set! (resolve-module '(lily)) 'italic-markup no-italic-markup)
#(module-set! (resolve-module '(lily)) 'make-italic-markup make-no-italic-markup)
#(define-markup-command (para layout props width size lead txt) (number? number? number? string?)
   (let* ((u (mm->u layout)) (skip (* lead (/ (large-pt size) size) 0.3528 u)))
     (interpret-markup layout props
       #{ \markup \abs-fontsize #size \override #`(baseline-skip . ,skip) \words-within #width #txt #})))
#(define-markup-command (heading layout props width size least txt) (number? number? number? string?)
   ;; as deep as a letter with a tail, so that what stands under a title keeps its distance
   (let* ((s (interpret-markup layout props #{ \markup \para #width #size #(* 1.2 size) #txt #})) (y (ly:stencil-extent s Y)))
     (if (interval-empty? y) s
       (ly:make-stencil (ly:stencil-expr s) (ly:stencil-extent s X)
         (cons (- (car y) (* 0.06 (large-pt size) 0.3528 (mm->u layout))) (cdr y))))))
#(define-markup-command (cut-to layout props width least txt) (number? number? string?)
   (interpret-markup layout props #{ \markup \words-within #width #txt #}))
#(define-markup-command (words-within layout props width txt) (number? string?)
   ;; a paragraph in the size that reigns; a word longer than a line goes on in the next one
   (let ((lines (lines-within layout props width txt))
         (skip (max (* 6.8 (mm->u layout)) (chain-assoc-get 'baseline-skip props 0))))
     (if (null? lines) empty-stencil (stack-lines DOWN 0 skip lines))))
% A line that is too long is taken apart into words, each with the sizes and weights it had.
#(define (line-words m)
   (cond ((string? m) (remove string-null? (string-split m #\space)))
         ((memq (car m) (list concat-markup line-markup)) (append-map line-words (cadr m)))
         ((memq (car m) (list bold-markup headed-markup sans-markup italic-markup))
          (map (lambda (word) (list (car m) word)) (line-words (cadr m))))
         ((eq? (car m) abs-fontsize-markup)
          (map (lambda (word) (list (car m) (cadr m) word)) (line-words (caddr m))))
         (else (list m))))
#(define-markup-command (fit layout props width least arg) (number? number? markup?)
   (let* ((w (* width (mm->u layout))) (s (interpret-markup layout props arg)))
     (if (<= (interval-length (ly:stencil-extent s X)) w) s
       (interpret-markup layout (prepend-alist-chain 'baseline-skip (* 7 (mm->u layout)) (prepend-alist-chain 'line-width w props))
         (make-wordwrap-markup (line-words arg))))))
#(define-markup-command (overline layout props txt) (string?)
   (interpret-markup layout props #{ \markup \abs-fontsize #10 \sans \bold #txt #}))

% --- rows of tables are as high as their words -----------------------------------------------------------
#(define-markup-command (row layout props height arg) (number? markup?)
   (let* ((u (mm->u layout)) (s (interpret-markup layout props arg)) (y (ly:stencil-extent s Y))
          (half (* 0.75 u height)) (lift (* 1.9 u)) (air (* 1.2 u)))
     (ly:make-stencil (ly:stencil-expr s) (ly:stencil-extent s X)
       (if (interval-empty? y) (cons (- lift half) (+ lift half))
         (cons (min (- lift half) (- (car y) air)) (max (+ lift half) (+ (cdr y) air)))))))
#(define-markup-command (cell layout props width size txt) (number? number? string?)
   (interpret-markup layout props
     #{ \markup \mm-width #width \abs-fontsize #size \words-within #(max 4 (- width 1)) #txt #}))
#(define-markup-command (ruled-table layout props heads widths row-h rows) (list? list? number? list?)
   (let* ((u (mm->u layout)) (W (* u (apply + widths))) (st empty-stencil) (top 0) (air (* 1.6 u)))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (define (draw cells bold)
       (map (lambda (c w)
              (interpret-markup layout props
                (cond ((not (string? c)) c)
                      (bold #{ \markup \abs-fontsize #8 \sans \bold \words-within #(- w 2) #c #})
                      (else #{ \markup \abs-fontsize #8.5 \sans \words-within #(- w 2) #c #}))))
         cells widths))
     (define (lay! cells bold least)
       (let* ((drawn (draw cells bold)) (inked (remove (lambda (s) (interval-empty? (ly:stencil-extent s Y))) drawn))
              (high (apply max 0 (map (lambda (s) (interval-end (ly:stencil-extent s Y))) inked)))
              (low (apply min 0 (map (lambda (s) (interval-start (ly:stencil-extent s Y))) inked)))
              (height (max least (+ high (- low) (* 2 air)))))
         (if (and bold (not low-ink)) (add! (area 0 W (- top height) top u)))
         (let loop ((x 0) (ss drawn) (ws widths))
           (when (pair? ss)
             (add! (ly:stencil-translate (car ss) (cons (+ x (* 1.2 u)) (- top air high))))
             (loop (+ x (* u (car ws))) (cdr ss) (cdr ws))))
         (set! top (- top height))
         (add! (make-line-stencil (* u (rule-mm 0.2)) 0 top W top))))
     (lay! heads #t (* u 8))
     (for-each (lambda (row) (lay! row #f (* u row-h))) rows)
     (let loop ((x 0) (ws widths))
       (when (and (pair? ws) (pair? (cdr ws)))
         (let ((next (+ x (* u (car ws))))) (add! (make-line-stencil (* u (rule-mm 0.2)) next 0 next top)) (loop next (cdr ws)))))
     (add! (make-line-stencil (* u (rule-mm 0.4)) 0 0 W 0))
     (add! (make-line-stencil (* u (rule-mm 0.4)) 0 top W top))
     st))
#(define-markup-command (entry layout props width pitch indent txt place label)
   (number? number? number? string? string? string?)
   ;; words on as many lines as they need; dots lead from the last one to the page number
   (let* ((u (mm->u layout)) (both (not (or (string-null? txt) (string-null? place))))
          (words (if both (string-append txt "   " place) (string-append txt place))) (l (* 6.8 u))
          (set-at (lambda (m) (interpret-markup layout props #{ \markup \abs-fontsize #10 \sans #m #})))
          (lines (lines-within layout (cons (list (cons 'font-size (magnification->font-size (/ (large-pt 10) (ly:output-def-lookup layout 'text-font-size 12))))
                                                  (cons 'font-family 'sans) (cons 'word-space 0.8)) props)
                   (- width indent 18) words))
          (count (max 1 (length lines))) (low (* -1 l (1- count)))
          (st (ly:stencil-translate-axis (if (null? lines) empty-stencil (stack-lines DOWN 0 l lines)) (* indent u) X))
          (right (ly:stencil-translate (ly:stencil-aligned-to (set-at (make-bold-markup label)) X RIGHT) (cons (* width u) low)))
          (from (+ (* (+ indent 2.5) u) (if (null? lines) 0 (interval-end (ly:stencil-extent (last lines) X)))))
          (dot (set-at ".")))
     (unless (string-null? label)
       (let loop ((x (- (interval-start (ly:stencil-extent right X)) (* 3.5 u))))
         (when (> x from)
           (set! st (ly:stencil-add st (ly:stencil-translate dot (cons x low))))
           (loop (- x (* 2.4 u))))))
     (ly:make-stencil (ly:stencil-expr (ly:stencil-add st right)) (cons 0 (* width u)) (cons (- low (* 2.4 u)) (* 5.4 u)))))
#(define-markup-command (sign-entry layout props width air kind name meaning)
   (number? number? string? string? string?)
   (interpret-markup layout props #{ \markup \stack {
     \concat { \mm-width #26 \from-left \abs-fontsize #12 #(sign-glyph kind)
       \stack { \abs-fontsize #11 \sans \bold \words-within #(- width 27) #name \mm-space #1.5
         \para #(- width 27) #11 #15 #meaning } }
     \mm-space #air } #}))

#(define own-sign-glyph sign-glyph)
#(define (sign-glyph kind)
   ;; signs of the music font are as large as on a staff of this size
   (if (member kind '("down" "up" "accent" "finger" "guide" "string"))
     #{ \markup \scale #'(1.9 . 1.9) #(own-sign-glyph kind) #}
     (own-sign-glyph kind)))
#(define-markup-command (text-lines layout props width size lead txt) (number? number? number? string?)
   (interpret-markup layout props #{ \markup \mm-width #width \para #width #size #lead #txt #}))

% --- tempo, map, heads -----------------------------------------------------------------------------------
#(define-markup-command (tempo-table layout props base dots heads width steps) (number? number? list? number? list?)
   (let* ((u (mm->u layout)) (hw (* u 46)) (w (* u width))
          (cw (min (* u 24) (/ (- w hw) (length steps)))) (right (+ hw (* cw (length steps)))) (st empty-stencil))
     (define (put! m x y align)
       (set! st (ly:stencil-add st
         (ly:stencil-translate (ly:stencil-aligned-to (interpret-markup layout props m) X align) (cons x (* u y))))))
     (put! #{ \markup \abs-fontsize #11 \concat { \note-by-number #(ly:intlog2 base) #dots #0.9 \mm-gap #1 \sans "=" } #} 0 -6 LEFT)
     (for-each (lambda (text y) (put! #{ \markup \abs-fontsize #8 \sans #text #} 0 y LEFT)) heads '(-15 -23 -31))
     (set! st (ly:stencil-add st (make-line-stencil (* u 0.3) 0 (* u -8.2) right (* u -8.2))))
     (for-each
       (lambda (i step)
         (let ((x (+ hw (* cw (+ i 0.5)))))
           (put! #{ \markup \abs-fontsize #13 \sans \bold #(number->string (car step)) #} x -6 CENTER)
           (put! #{ \markup \abs-fontsize #9 \sans #(cadr step) #} x -15 CENTER)
           (put! #{ \markup \abs-fontsize #9 \sans #(number->string (caddr step)) #} x -23 CENTER)
           (for-each
             (lambda (k)
               (set! st (ly:stencil-add st
                 (ly:stencil-translate (make-circle-stencil (* u 1.7) (* u 0.25) #f)
                   (cons (+ x (* k (min (* u 5) (* cw 0.3)))) (* u -29.4))))))
             '(-1 0 1))))
       (iota (length steps)) steps)
     st))
#(define own-beside-code beside-code-markup)
#(define-markup-command (beside-code layout props width side quiet rows caption arg)
   (number? number? number? list? list? markup?)
   ;; a code is known for what it is; words beside it in this size would take the place of the title
   (own-beside-code layout props width side quiet rows '("") arg))
#(define own-neck-map neck-map-markup)
#(define-markup-command (neck-map layout props opts) (list?)
   ;; discs of the size of their letters, if the frets are far enough apart
   (let* ((frets (- (cdr (assq 'last opts)) (cdr (assq 'first opts))))
          (radius (min 3.6 (* 0.47 (cdr (assq 'string-gap opts))) (* 0.46 (/ (cdr (assq 'width opts)) (max 1 frets))))))
     (own-neck-map layout props (cons (cons 'radius radius) opts))))
#(define-markup-command (furniture layout props width height side outer-left head level foot label tab tab-x tab-y on-black)
   (number? number? number? boolean? string? string? string? string? string? number? number? boolean?)
   (let* ((u (mm->u layout)) (left side) (right (- width side)) (line (- width side side)) (st empty-stencil))
     (define (put! m x y align)
       (let ((s (ly:stencil-aligned-to (interpret-markup layout props m) X align)))
         (set! st (ly:stencil-add st (ly:stencil-translate s (cons (* u x) (* u (- y))))))))
     (define outer (if outer-left left right))
     (define inner (if outer-left right left))
     (define to-outer (if outer-left LEFT RIGHT))
     (define to-inner (if outer-left RIGHT LEFT))
     (define beside (head-logo-mm layout))
     (define (one-line txt room) #{ \markup \abs-fontsize #8 \sans \first-words #room #txt #})
     (define (long m) (/ (interval-length (ly:stencil-extent (interpret-markup layout props m) X)) u))
     (unless (and (string-null? head) (string-null? level))
       (if (> beside 0) (put! #{ \markup \head-logo #} inner 15.2 to-inner))
       ;; where both don't fit, what the page is about goes before whose book it is
       (let* ((about #{ \markup \bold #(one-line level (- line beside)) #}) (room (- line beside (long about) 6)))
         (put! about outer 14.2 to-outer)
         (if (<= (long #{ \markup \abs-fontsize #8 \sans #head #}) room)
           (put! (one-line head room) (if outer-left (- inner beside) (+ inner beside)) 14.2 to-inner)))
       (put! #{ \markup \mm-rule #line #0.35 #} left 16.6 LEFT))
     ;; a long foot has two lines; what is longer still ends with the last word that fits
     (define (foot-lines words)
       (lines-within layout (cons (list (cons 'font-size (magnification->font-size (/ (large-pt 8) (ly:output-def-lookup layout 'text-font-size 12))))
                                        (cons 'font-family 'sans) (cons 'word-space 0.8)) props)
         (- line 26) (string-join words " ")))
     (let* ((words (string-split foot #\space))
            (lines (let loop ((kept words) (found (foot-lines words)))
                     (if (<= (length found) 2) found
                       (let ((fewer (drop-right kept 1))) (loop fewer (foot-lines (append fewer '("…"))))))))
            (low (if (> (length lines) 1) 7.4 10)))
       (for-each (lambda (s k) (put! #{ \markup \stencil #s #} inner (- height low (* 6 k)) to-inner))
         (reverse lines) (iota (length lines))))
     (put! #{ \markup \abs-fontsize #12 \sans \bold #label #} outer (- height 10) to-outer)
     (put! #{ \markup \abs-fontsize #8 \sans \bold \with-color #(if on-black white black) #tab #} tab-x (+ tab-y 1.4) to-outer)
     (ly:make-stencil (ly:stencil-expr st) (cons 0 (* u (- width 1))) (cons (* -1 u (- height 2)) 0))))
#(define-markup-command (first-words layout props width txt) (number? string?)
   ;; heads and feet have one line: as much as it holds
   (let ((w (* width (mm->u layout))))
     (let loop ((t txt) (end ""))
       (let ((s (interpret-markup layout props (string-append t end))))
         (if (or (string-null? t) (<= (interval-length (ly:stencil-extent s X)) w)) s
           (loop (string-trim-right (string-drop-right t 1)) "…"))))))
#(define-markup-command (cue layout props txt) (string?)
   (interpret-markup layout props #{ \markup \abs-fontsize #10 \sans \bold \words-within #60 #txt #}))

% --- music: fingers and frets grow more than the staff; on one of 24 points, the smallest, they have 16 ---------------------------------------------------
\layout {
  \context { \Staff
    \override Fingering.font-size = #-1.2
    \override StringNumber.font-size = #-2
    \override ClefModifier.font-size = #1.7
    \override ClefModifier.font-shape = #'upright
    \override TupletNumber.font-size = #1
    \override TupletNumber.font-shape = #'upright
    \override StaffSymbol.thickness = #1.3 }
  \context { \TabStaff
    \override StaffSymbol.staff-space = #1.9
    \override TabNoteHead.font-size = #1.7
    \override Fingering.font-size = #-1.2 }
  \context { \Score
    \override OttavaBracket.font-shape = #'upright
    \override OttavaBracket.font-size = #1.7
    \override BarNumber.font-size = #1.7
    \override BarNumber.color = #black
    \override SectionLabel.font-shape = #'upright
    % the finger of a first note stands right under these words: by default the two touch
    \override SectionLabel.outside-staff-padding = #1.2 }
}

% A tablature alone has fingers and strokes over it: large fingers push the strokes up.
tabAlone = \with {
  \tabAlone
  \override Fingering.font-size = #-1.2
  \override Script.outside-staff-priority = #150
  \override Fingering.outside-staff-padding = #0.6
  \override Script.outside-staff-padding = #0.5
  \override TupletNumber.font-size = #1.7
  \override TupletNumber.font-shape = #'upright
  \override TupletBracket.staff-padding = #1.6
}

% Every stroke is read, none is only looked up.
strokeDownSmall = \tweak font-size #-0.5 \downbow
strokeUpSmall = \tweak font-size #-0.5 \upbow

% --- sides -----------------------------------------------------------------------------------------------
#(define least-share 1/4)   % of the fullest side; our own choice: fewer lines look left behind
#(define most-white-mm 36)   % about five lines at the foot of each side
#(define (filled-breaking part)
   ;; one side is filled after the other; where that leaves a few lines for the last one, those before give some of theirs
   (let* ((paper (ly:paper-book-paper part)) (mm (ly:output-def-lookup paper 'mm))
          (margin (ly:output-def-lookup paper 'bottom-margin))
          (broken (lambda (white)
                    (ly:output-def-set-variable! paper 'bottom-margin (+ margin (* white mm)))
                    (ly:minimal-breaking part)))
          (lines (lambda (sides) (map (lambda (side) (length (ly:prob-property side 'lines '()))) sides)))
          (left-behind? (lambda (sides)
                          (and (pair? (cdr sides)) (< (last (lines sides)) (* least-share (apply max (lines sides)))))))
          (full (broken 0)))
     (let loop ((sides full) (white 7))
       (cond ((not (left-behind? sides)) sides)
             ((or (> white most-white-mm) (> (length sides) (length full))) (broken 0))
             (else (loop (broken white) (+ white 7)))))))
