% style.ily -- what every page shares: fonts, text blocks in millimetres, neck map, staff and tablature.
% Needs the paper chosen before it (parts/paper.ly). Names of ours are letters and hyphens only.

% --- millimetres --------------------------------------------------------------------------------
% Markup works in staff spaces; mm->u keeps every block the same printed size at any staff size.
% Inside a score `output-scale` is that of its staff, though all is printed in the page's: the staff's space undoes it.
#(define (mm->u layout) (/ (ly:output-def-lookup layout 'staff-space) (ly:output-def-lookup layout 'output-scale)))
#(define ink-mid (rgb-color 0.38 0.38 0.38))
% Greys that outlive a photocopy (our own choice): type has at least 60 % of black, areas 18 %, lines and marks 40 %.
#(define ink-pale (rgb-color 0.82 0.82 0.82))
% With little ink nothing is filled or shaded: a hatched area, a thin rule, a ring say the same.
#(define (hatched x1 x2 y1 y2 u)
   ;; an area of slanting hairlines, 2 mm apart
   (let loop ((c (- y1 (- x2 x1))) (st empty-stencil))
     (if (>= c y2) st
       (let ((a (max x1 (+ x1 (- y1 c)))) (b (min x2 (+ x1 (- y2 c)))))
         (loop (+ c (* 2 u))
           (if (> b a) (ly:stencil-add st (make-line-stencil (* u 0.08) a (+ c (- a x1)) b (+ c (- b x1)))) st))))))
#(define (area x1 x2 y1 y2 u)
   (if low-ink (hatched x1 x2 y1 y2 u)
     (stencil-with-color (ly:round-filled-box (cons x1 x2) (cons y1 y2) 0) ink-pale)))

\paper {
  property-defaults.fonts.serif = "TeX Gyre Schola"   % both ship with LilyPond, so they travel
  property-defaults.fonts.sans = "TeX Gyre Heros"
  property-defaults.font-features = #'("liga 0")   % a ligature is one glyph for two letters: searching and reading aloud would miss them
  indent = 0
  short-indent = 0
  print-page-number = ##f
  ragged-bottom = ##f
  ragged-last-bottom = ##f
  markup-markup-spacing = #'((basic-distance . 0) (padding . 0) (stretchability . 0))
  top-markup-spacing = #'((basic-distance . 0) (padding . 1.2) (stretchability . 0))
  top-system-spacing = #'((basic-distance . 8) (minimum-distance . 1) (padding . 2) (stretchability . 8))
  % Basic distances are near the real ones: a spring shorter than its contents would give no air to its neighbours.
  markup-system-spacing = #'((basic-distance . 10) (minimum-distance . 1) (padding . 1.4) (stretchability . 6))
  system-system-spacing = #'((basic-distance . 22) (minimum-distance . 8) (padding . 1.3) (stretchability . 6))
  last-bottom-spacing = #'((basic-distance . 9) (minimum-distance . 1) (padding . 1.6) (stretchability . 6))
  oddHeaderMarkup = ##f  evenHeaderMarkup = ##f
  oddFooterMarkup = ##f  evenFooterMarkup = ##f
}
\header { tagline = ##f }

% --- piles, sizes, widths -----------------------------------------------------------------------
#(define-markup-command (stack layout props args) (markup-list?)
   ;; tight pile: only \mm-space makes gaps (a plain \column adds its own)
   (interpret-markup layout (prepend-alist-chain 'baseline-skip 0 props)
     (make-column-markup args)))
#(define-markup-command (mm-space layout props n) (number?)
   (ly:make-stencil "" '(0 . 0) (cons 0 (* n (mm->u layout)))))
#(define-markup-command (mm-gap layout props n) (number?)
   (ly:make-stencil "" (cons 0 (* n (mm->u layout))) '(0 . 0)))
#(define (rule-mm thick)
   ;; a rule THICK mm as the book wants its rules; a thinner one than 0.1 mm is lost in a copier (our own choice)
   (max (min thick 0.1) (* rule-weight thick)))
#(define-markup-command (headed layout props arg) (markup?)
   ;; ARG in the weight of headings
   (interpret-markup layout (prepend-alist-chain 'font-series heading-series props) arg))
#(define-markup-command (mm-rule layout props width thick) (number? number?)
   (let ((u (mm->u layout)))
     (ly:round-filled-box (cons 0 (* u width)) (cons 0 (* u (rule-mm (if low-ink (min thick 0.12) thick)))) 0)))
#(define-markup-command (mm-width layout props width arg) (number? markup?)
   ;; ARG in a cell exactly WIDTH mm wide, left aligned
   (let ((s (interpret-markup layout props arg)))
     (ly:make-stencil (ly:stencil-expr s) (cons 0 (* width (mm->u layout)))
       (ly:stencil-extent s Y))))
#(define-markup-command (mm-line layout props width left right) (number? markup? markup?)
   ;; LEFT and RIGHT at the two ends of a line WIDTH mm wide
   (let* ((w (* width (mm->u layout))) (a (interpret-markup layout props left))
          (b (ly:stencil-aligned-to (interpret-markup layout props right) X RIGHT)))
     (ly:stencil-add a (ly:stencil-translate-axis b w X))))
#(define-markup-command (fit layout props width least arg) (number? number? markup?)
   ;; one line, shrunk to WIDTH mm but never below the factor LEAST; else warn
   (let* ((w (* width (mm->u layout))) (s (interpret-markup layout props arg))
          (n (interval-length (ly:stencil-extent s X))))
     (cond ((<= n w) s)
           ((>= (/ w n) least) (ly:stencil-scale s (/ w n) (/ w n)))
           (else (ly:warning "TEXT-OVERFLOW: ~a mm needed, ~a mm allowed"
                   (round (/ n (mm->u layout))) width)
                 (ly:stencil-scale s least least)))))
#(define-markup-command (cut-to layout props width least txt) (number? number? string?)
   ;; one line, shrunk to WIDTH mm but never below the factor LEAST; what is longer still is cut off
   (let* ((w (* width (mm->u layout))))
     (let loop ((t txt) (end ""))
       (let* ((s (interpret-markup layout props (string-append t end))) (n (interval-length (ly:stencil-extent s X))))
         (cond ((<= n w) s)
               ((or (>= (/ w n) least) (string-null? t)) (ly:stencil-scale s (/ w n) (/ w n)))
               (else (loop (string-trim-right (string-drop-right t 1)) "…")))))))
#(define (printed-pt size) size)
% Words of a text may hold soft hyphens, which print nothing: where a word is wider than a line, it breaks at one of them.
#(define soft-hyphen (integer->char 173))
#(define (solid txt) (string-delete soft-hyphen txt))
#(define (words-that-fit layout props width words)
   ;; WORDS, each in pieces no wider than WIDTH mm: up to a hyphen, a soft one too, else to any letter; a hyphen ends each
   (let* ((w (* width (mm->u layout)))
          (wide? (lambda (t) (> (interval-length (ly:stencil-extent (interpret-markup layout props t) X)) w)))
          (inside? (lambda (word n) (and (< n (string-length word)) (char-alphabetic? (string-ref word (1- n)))
                                      (char-alphabetic? (string-ref word n)))))
          (soft? (lambda (word n) (and (< n (string-length word)) (or (char=? soft-hyphen (string-ref word n))
                                    (char=? #\- (string-ref word (1- n)))))))
          (piece (lambda (word n) (string-append (solid (string-take word n)) (if (and (not (char=? #\- (string-ref word (1- n)))) (or (soft? word n) (inside? word n))) "-" ""))))
          (longest (lambda (word ends?)
                     ;; the longest piece that ends where ENDS? allows, in letters; #f for none
                     (let loop ((n (1- (string-length word))))
                       (cond ((< n 1) #f)
                             ((and (ends? word n) (not (wide? (piece word n)))) n)
                             (else (loop (1- n)))))))
          (parts (lambda (word)
                   (let loop ((rest word) (done '()))
                     (let ((n (and (> (string-length rest) 1) (wide? (solid rest))
                                (or (longest rest soft?) (longest rest (lambda (word n) #t)) 1))))
                       (if n (loop (string-drop rest n) (cons (piece rest n) done))
                         (reverse (cons (solid rest) done))))))))
     (append-map (lambda (word) (if (string? word) (parts word) (list word))) words)))
#(define (lines-within layout props width txt)
   (let ((words (words-that-fit layout props width (remove string-null? (string-split txt #\space)))))
     (if (null? words) '()
       (interpret-markup-list layout (prepend-alist-chain 'line-width (* width (mm->u layout)) props)
         (make-wordwrap-lines-markup-list words)))))
#(define (line-width-of stencil) (max 0 (interval-end (ly:stencil-extent stencil X))))
#(define (shares-width? lines least)
   ;; whether the last of LINES is at least that share of the widest
   (>= (line-width-of (car (last-pair lines))) (* least (apply max (map line-width-of lines)))))
#(define (lines-shared layout props width txt least)
   ;; the lines of TXT in WIDTH mm; where the last one is shorter than the share LEAST of the widest, words come down to
   ;; it as long as there is no line more and nothing has to break that was whole
   (let* ((pieces (lambda (w) (length (words-that-fit layout props w (remove string-null? (string-split txt #\space))))))
          (lines (lines-within layout props width txt)) (whole (pieces width)))
     (let loop ((w (* 0.97 width)) (best lines))
       (if (or (< (length lines) 2) (< w (* 0.5 width)) (shares-width? best least)
               (> (pieces w) whole))
         best
         (let ((tried (lines-within layout props w txt)))
           (if (> (length tried) (length lines)) best (loop (- w (* 0.03 width)) tried)))))))
#(define-markup-command (shared-lines layout props width size lead least txt) (number? number? number? number? string?)
   ;; a text of WIDTH mm, SIZE pt, LEAD pt from baseline to baseline, whose last line is no shorter than the share LEAST
   (let* ((u (mm->u layout)) (bs (* lead 0.3528 u (/ (printed-pt size) size)))
          (m (/ (printed-pt size) (ly:output-def-lookup layout 'text-font-size 12)))
          (sized (cons (list (cons 'font-size (magnification->font-size m))
                             (cons 'word-space (* m (chain-assoc-get 'word-space props 0.6)))) props))
          (lines (lines-shared layout sized width txt least)))
     (if (null? lines) empty-stencil (stack-lines DOWN 0 bs lines))))
% A last line of one short word looks lost: our own choice of the least share of the widest line.
#(define-markup-command (para layout props width size lead txt) (number? number? number? string?)
   (interpret-markup layout props #{ \markup \shared-lines #width #size #lead #0.2 #txt #}))
#(define-markup-command (caution layout props width strong rest) (number? string? string?)
   ;; for a foot in which it takes two lines
   (let ((words (append (map make-bold-markup (string-split strong #\space)) (string-split rest #\space))))
     (interpret-markup layout (prepend-alist-chain 'line-width (* width (mm->u layout)) props)
       #{ \markup \abs-fontsize #8.5 \sans \override #`(baseline-skip . ,(* 3.9 (mm->u layout)))
          #(make-wordwrap-markup words) #})))
#(define-markup-command (heading layout props width size least txt)
   (number? number? number? string?)
   ;; one line at SIZE pt, shrunk down to LEAST pt; a longer text is set at LEAST pt on several lines of like width
   ;; A single line always takes the height of a tall one, so that pages line up whatever the letters.
   (let* ((w (* width (mm->u layout)))
          (set-at (lambda (pt t) (interpret-markup layout props #{ \markup \abs-fontsize #pt #t #})))
          (txt-solid (solid txt)) (s (set-at size txt-solid)) (n (interval-length (ly:stencil-extent s X)))
          (strut (ly:stencil-extent (set-at size "hg") Y))
          (tall (lambda (t) (ly:make-stencil (ly:stencil-expr t) (ly:stencil-extent t X) strut))))
     (cond ((<= n w) (tall s))
           ((>= (* size (/ w n)) least) (tall (set-at (* 0.995 size (/ w n)) txt-solid)))
           (else (interpret-markup layout props #{ \markup \shared-lines #width #least #(* 1.2 least) #0.9 #txt #})))))
#(define-markup-command (overline layout props txt) (string?)
   ;; small label over a block; may be ignored while playing, hence grey
   (interpret-markup layout props
     #{ \markup \abs-fontsize #7.5 \sans \bold \with-color #ink-mid #txt #}))

% --- notes and chords as text ----------------------------------------------------------------------
% Accidentals come from the music font: the text fonts have none.
#(define (sign-markup sign)
   (cond ((member sign '("#" "♯")) #{ \markup \raise #0.35 \fontsize #-4.5 \sharp #})
         ((member sign '("##" "𝄪")) #{ \markup \raise #0.35 \fontsize #-3.5 \doublesharp #})
         ((member sign '("bb" "𝄫")) #{ \markup \raise #0.3 \fontsize #-3 \doubleflat #})
         (else #{ \markup \raise #0.3 \fontsize #-3 \flat #})))
#(define-markup-command (note-name layout props txt) (string?)
   ;; letters, then a sign as text writes it
   (let ((at (string-index txt (string->char-set "♯♭𝄪𝄫"))))
     (interpret-markup layout props
       (if at
         #{ \markup \concat { #(substring txt 0 at) \hspace #0.08 #(sign-markup (substring txt at)) } #}
         txt))))
#(define-markup-command (chord-name layout props parts) (list?)
   ;; to its neighbours it is a box with air beside it: letters and fingers of the lanes below must neither creep under
   ;; the arms of an F nor stand beside a name and read as a part of it
   (let ((s (interpret-markup layout props
              (make-abs-fontsize-markup 11
                (make-sans-markup (make-bold-markup (make-concat-markup
                  (map (lambda (p) (if (or (string=? p "#") (string=? p "b"))
                                     #{ \markup \concat { \hspace #0.1 #(sign-markup p) \hspace #0.1 } #} p))
                    parts))))))))
     (ly:stencil-outline s (make-filled-box-stencil (interval-widen (ly:stencil-extent s X) (* 2.5 (mm->u layout))) (ly:stencil-extent s Y)))))
#(define-markup-command (pass-label layout props txt) (string?)
   (interpret-markup layout props #{ \markup \abs-fontsize #10.5 \italic \bold #txt #}))
#(define-markup-command (cue layout props txt) (string?)
   (interpret-markup layout props
     #{ \markup \fit #46 #0.75 \abs-fontsize #10 \sans \bold #txt #}))

% --- signs a page uses, with their meaning -----------------------------------------------------------
#(define (sign-glyph kind)
   (cond ((string=? kind "down") #{ \markup \fontsize #-1 \musicglyph "scripts.downbow" #})
         ((string=? kind "up") #{ \markup \fontsize #-1 \musicglyph "scripts.upbow" #})
         ((string=? kind "accent") #{ \markup \raise #0.6 \musicglyph "scripts.sforzato" #})
         ((string=? kind "finger") #{ \markup \finger "1" #})
         ((string=? kind "guide") #{ \markup \finger #(guided "1") #})
         ((string=? kind "string") #{ \markup \circle \finger "3" #})
         ((string=? kind "pluck") #{ \markup \fontsize #1 \italic "p i m a" #})
         ((string=? kind "hammer-on") #{ \markup \sans \bold "H" #})
         ((string=? kind "pull-off") #{ \markup \sans \bold "P" #})
         ((string=? kind "position") #{ \markup \sans \bold "V" #})
         ((string=? kind "barre") #{ \markup \sans \bold "C II" #})
         ((string=? kind "half-barre") #{ \markup \sans \bold "½C II" #})
         ((string=? kind "slide") #{ \markup \drawn-slide #})
         ((string=? kind "bend") #{ \markup \drawn-bend #1 #})
         ((string=? kind "release") #{ \markup \drawn-bend #-1 #})
         ((string=? kind "harmonic") #{ \markup \drawn-harmonic #})
         ((string=? kind "shape") #{ \markup \drawn-shape #})
         ((string=? kind "kept") #{ \markup \drawn-kept #})
         ((string=? kind "start-disc") #{ \markup \plain-disc ##t #})
         ((string=? kind "used-disc") #{ \markup \plain-disc ##f #})
         ((string=? kind "band") #{ \markup \band-sample #})
         ((string=? kind "octave") #{ \markup \concat { \bold \italic "8" \mm-gap #1 "- - - -" } #})
         ((string=? kind "repeat") #{ \markup \repeat-signs #})
         ((string=? kind "circles") #{ \markup \three-circles #})
         (else #{ \markup \sans \bold #kind #})))
#(define-markup-command (band-sample layout props) ()
   (let ((u (mm->u layout))) (area 0 (* 9 u) 0 (* 4 u) u)))
#(define-markup-command (from-left layout props arg) (markup?)
   (ly:stencil-aligned-to (interpret-markup layout props arg) X LEFT))
#(define-markup-command (plain-disc layout props filled) (boolean?)
   (let* ((u (mm->u layout)) (r (* 2.25 u)) (thick (* u (if (and filled low-ink) 0.7 0.25))))
     (ly:stencil-translate-axis
       (ly:stencil-aligned-to (make-circle-stencil r thick (and filled (not low-ink))) X LEFT) (* 0.6 r) Y)))
#(define-markup-command (drawn-slide layout props) ()
   (let ((u (mm->u layout))) (make-line-stencil (* u 0.25) 0 (* u 0.2) (* u 4) (* u 1.9))))
#(define-markup-command (drawn-bend layout props dir) (number?)
   ;; the arrow of a bend and of its way back
   (let* ((u (mm->u layout)) (low (if (> dir 0) 0 (* u 2.6))) (high (- (* u 2.6) low)))
     (ly:stencil-add (curve u 0 low 'curveto (* u 2.4) low (* u 3) low (* u 3) (+ high (* -1 dir u)))
       (arrow-head (* u 3) (+ high (* 0.2 dir u)) dir u)
       (ly:make-stencil "" (cons 0 (* u 3.6)) (cons 0 (* u 2.6))))))
#(define-markup-command (drawn-harmonic layout props) ()
   (between-angles (ly:stencil-translate-axis (interpret-markup layout props #{ \markup \sans \bold "12" #}) (mm->u layout) X)
     0 0 0 0))
#(define (square-outline r thick)
   (make-path-stencil `(moveto ,(- r) ,(- r) lineto ,r ,(- r) lineto ,r ,r lineto ,(- r) ,r closepath) thick 1 1 #f))
#(define-markup-command (drawn-kept layout props) ()
   (let ((u (mm->u layout)))
     (ly:stencil-translate
       (if low-ink (square-outline (* u 1.13) (* u 0.15)) (make-circle-stencil (* u 1.13) (* u 0.24) #f))
       (cons (* u 1.25) (* u 0.9)))))
#(define-markup-command (drawn-shape layout props) ()
   ;; what stands on a diagram: not played, open, stopped
   (let* ((u (mm->u layout)) (r (* u 0.8)) (y (* u 0.9))
          (line (lambda (dir) (make-line-stencil (* u 0.22) 0 (- y (* dir r)) (* 2 r) (+ y (* dir r))))))
     (ly:stencil-add (line 1) (line -1)
       (ly:stencil-translate (make-circle-stencil r (* u 0.2) #f) (cons (* u 3.5) y))
       (ly:stencil-translate (make-circle-stencil (* u 1.1) (if low-ink (* u 0.15) 0) (not low-ink)) (cons (* u 6.4) y)))))
#(define-markup-command (three-circles layout props) ()
   (let ((u (mm->u layout)))
     (ly:stencil-aligned-to
       (apply ly:stencil-add
         (map (lambda (k) (ly:stencil-translate (make-circle-stencil (* u 1.05) (* u 0.18) #f)
                         (cons (* u 3.1 k) (* u 1.2))))
           '(0 1 2))) X LEFT)))
#(define-markup-command (repeat-signs layout props) ()
   ;; two bars with dots, drawn: text fonts have none
   (let* ((u (mm->u layout)) (h (* u 5))
          (bar (lambda (x w) (ly:round-filled-box (cons (* u x) (* u (+ x w))) (cons 0 h) 0)))
          (dot (lambda (x y) (ly:stencil-translate (make-circle-stencil (* u 0.4) 0 #t) (cons (* u x) (* u y))))))
     (ly:stencil-add (bar 0 0.8) (bar 1.3 0.2) (dot 2.4 1.7) (dot 2.4 3.3)
       (dot 8 1.7) (dot 8 3.3) (bar 9 0.2) (bar 9.7 0.8))))
#(define-markup-command (sign-row layout props pairs) (list?)
   ;; PAIRS of (kind . meaning)
   (interpret-markup layout props
     (make-abs-fontsize-markup 8.5 (make-sans-markup (make-concat-markup
       (append-map (lambda (p)
           (list (if (eq? p (car pairs)) (make-from-left-markup (sign-glyph (car p))) (sign-glyph (car p))) #{ \markup \mm-gap #1.2 #} (cdr p) #{ \markup \mm-gap #3.4 #}))
         pairs))))))

% --- tempo row: one column a step -------------------------------------------------------------------
#(define-markup-command (tempo-table layout props base dots heads width steps)
   (number? number? list? number? list?)
   ;; BASE and DOTS give the note value of the beat; HEADS names the rows below it;
   ;; STEPS are lists (bpm rate level)
   (let* ((u (mm->u layout)) (hw (* u 23)) (w (* u width))
          (cw (min (* u 18) (/ (- w hw) (length steps)))) (right (+ hw (* cw (length steps))))
          (st empty-stencil))
     (define (put! m x y align)
       (let ((s (interpret-markup layout props m)))
         (set! st (ly:stencil-add st
           (ly:stencil-translate (ly:stencil-aligned-to s X align) (cons x y))))))
     (define (row! text y) (put! #{ \markup \abs-fontsize #8 \sans #text #} 0 y LEFT))
     (put! #{ \markup \abs-fontsize #11 \concat {
               \note-by-number #(ly:intlog2 base) #dots #0.9 \mm-gap #1 \sans "=" } #} 0 (* u -4.2) LEFT)
     (for-each row! heads (map (lambda (y) (* u y)) '(-9 -13.2 -17.4)))
     (set! st (ly:stencil-add st (make-line-stencil (* u (rule-mm 0.2)) 0 (* u -5.6) right (* u -5.6))))
     (for-each
       (lambda (i step)
         (let ((x (+ hw (* cw (+ i 0.5)))))
           (put! #{ \markup \abs-fontsize #13 \sans \bold #(number->string (car step)) #} x (* u -4.2) CENTER)
           (put! #{ \markup \abs-fontsize #9 \sans #(cadr step) #} x (* u -9) CENTER)
           (put! #{ \markup \abs-fontsize #9 \sans #(number->string (caddr step)) #} x (* u -13.2) CENTER)
           (for-each
             (lambda (k)
               (set! st (ly:stencil-add st
                 (ly:stencil-translate (make-circle-stencil (* u 1.05) (* u 0.18) #f)
                   (cons (+ x (* k (min (* u 3.1) (* cw 0.31)))) (* u -16.4))))))
             '(-1 0 1))))
       (iota (length steps)) steps)
     st))

% --- ruled table -----------------------------------------------------------------------------------
#(define-markup-command (ruled-table layout props heads widths row-h rows)
   (list? list? number? list?)
   ;; WIDTHS and ROW-H in mm; ROWS is a list of lists of markups, "" = blank
   (let* ((u (mm->u layout)) (h (* u row-h)) (head-h (* u 5)) (thin (* u (rule-mm 0.12)))
          (W (* u (apply + widths))) (bottom (- (+ head-h (* h (length rows)))))
          (st empty-stencil))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (define (put! m x y)
       (add! (ly:stencil-translate (interpret-markup layout props m) (cons x y))))
     (define (across proc cells)
       (let loop ((x 0) (cs cells) (ws widths))
         (when (pair? cs)
           (proc (car cs) x)
           (loop (+ x (* u (car ws))) (cdr cs) (cdr ws)))))
     (add! (if low-ink (make-line-stencil thin 0 (- head-h) W (- head-h)) (area 0 W (- head-h) 0 u)))
     (across (lambda (m x)
               (put! #{ \markup \abs-fontsize #8 \sans \bold #m #}
                 (+ x (* u 1.5)) (* u -3.5))
               (if (> x 0) (add! (make-line-stencil thin x 0 x bottom))))
       heads)
     (for-each
       (lambda (i row)
         (let ((y (- (+ head-h (* (1+ i) h)))))
           (add! (make-line-stencil thin 0 y W y))
           (across (lambda (m x)
                     ;; A cell of two lines has their middle where a single one stands, clear of the rule under it.
                     (let* ((cell (interpret-markup layout props #{ \markup \abs-fontsize #8.5 \sans #m #}))
                            (hangs (- (interval-start (ly:stencil-extent cell Y))))
                            (up (if (> hangs (* u 2)) (/ (- hangs (* u 0.8)) 2) 0)))
                       (add! (ly:stencil-translate cell (cons (+ x (* u 1.5)) (+ y (* h 0.3) up))))))
             row)))
       (iota (length rows)) rows)
     (let ((thick (* u (rule-mm (if low-ink 0.15 0.3)))))
       (add! (make-line-stencil thick 0 0 W 0))
       (add! (make-line-stencil thick 0 bottom W bottom)))
     st))

% --- text pages -------------------------------------------------------------------------------------
#(define-markup-command (group-heading layout props width mark txt) (number? string? string?)
   (interpret-markup layout props #{ \markup \stack { \mm-space #7
     \concat { \mm-width #14 \abs-fontsize #22 \headed #mark \abs-fontsize #13 \headed #txt }
     \mm-space #1.6 \mm-rule #width #0.15 \mm-space #1.4 } #}))
#(define-markup-command (minor-heading layout props width txt) (number? string?)
   (interpret-markup layout props #{ \markup \stack { \mm-space #3.4
     \abs-fontsize #11 \headed #txt \mm-space #1.2 \mm-rule #width #0.15 \mm-space #1.2 } #}))
#(define-markup-command (entry layout props width pitch indent txt place label)
   (number? number? number? string? string? string?)
   ;; a line of the contents: dots lead to the page number; without one, a name is a heading of its places, and words
   ;; in the place of a place say more of the line above
   (let* ((u (mm->u layout)) (room (- width 8))
          (name (if (string-null? txt) #{ \markup \null #}
                  #{ \markup \abs-fontsize #10.5 \sans \cut-to #(* (if (string-null? place) 0.85 0.6) room) #0.75 #txt #}))
          (where (if (string-null? place) #{ \markup \null #}
                   #{ \markup \concat { \mm-gap #(if (string-null? txt) 0 2.5)
                   \abs-fontsize #9 \sans \cut-to #(- room indent) #0.8 #place } #}))
          (left #{ \markup \concat { \mm-gap #indent #name #where \mm-gap #1 } #})
          (right #{ \markup \abs-fontsize #10.5 \sans \bold #label #}))
     (let ((line (interpret-markup layout (prepend-alist-chain 'line-width (* width u) props)
                   (if (string-null? label) left
                     #{ \markup \fill-with-pattern #0.9 #RIGHT \abs-fontsize #9 \with-color #ink-mid "." #left #right #}))))
       ;; every line equally high, whatever its letters
       (ly:make-stencil (ly:stencil-expr line) (ly:stencil-extent line X) (cons (* u -1.9) (* u (- pitch 1.9)))))))
#(define-markup-command (sign-entry layout props width air kind name meaning)
   (number? number? string? string? string?)
   (interpret-markup layout props #{ \markup \stack {
     \concat { \mm-width #24 \from-left \abs-fontsize #12 #(sign-glyph kind)
       \mm-width #42 \abs-fontsize #11 \sans \bold #name
       \para #(- width 66) #11 #15 #meaning }
     \mm-space #air } #}))
#(define-markup-command (write-line layout props txt width) (string? number?)
   (interpret-markup layout props #{ \markup \concat { \abs-fontsize #9.5 \sans #txt \mm-gap #2 \mm-rule #width #0.15 } #}))
#(define-markup-command (cover-strings layout props width count) (number? number?)
   ;; a stretch of neck as an ornament: strings growing thicker, frets growing closer
   (let* ((u (mm->u layout)) (W (* u width)) (gap (* u 6)) (H (* gap (1- count))) (st empty-stencil)
          (fx (lambda (f) (let ((x (fret-x f 0 12 W 1))) (if (left-handed? layout) (- W x) x)))))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (for-each (lambda (k) (add! (make-line-stencil (* u (+ 0.15 (* 0.14 k))) 0 (* -1 gap k) W (* -1 gap k)))) (iota count))
     (for-each (lambda (f) (let ((x (fx f)))
                 (add! (make-line-stencil (* u (if (= f 0) 1.6 0.3)) x 0 x (- H))))) (iota 13))
     (for-each (lambda (f) (let ((x (/ (+ (fx f) (fx (1- f))) 2)))
                 (add! (ly:stencil-translate (make-circle-stencil (* u 1.1) 0 #t) (cons x (* -0.5 H)))))) '(3 5 7 9))
     (ly:stencil-aligned-to st Y UP)))
#(define-markup-command (picture-data layout props width height text) (number? number? string?)
   ;; a picture as PostScript that fills the unit square
   (let ((u (mm->u layout)))
     (ly:make-stencil
       (list 'embedded-ps (format #f "gsave currentpoint translate ~a ~a scale\n~a\ngrestore\n" (* u width) (* u height) text))
       (cons 0 (* u width)) (cons 0 (* u height)))))
% The school's logo in running heads: \paper of the furniture says (width height text), so that it is written once.
#(define (head-logo-mm layout)
   ;; the room it takes with the air behind it
   (let ((logo (ly:output-def-lookup layout 'head-logo #f))) (if logo (+ (car logo) 2) 0)))
#(define-markup-command (head-logo layout props) ()
   (let ((logo (ly:output-def-lookup layout 'head-logo #f)))
     (interpret-markup layout props #{ \markup \picture-data #(car logo) #(cadr logo) #(caddr logo) #})))
#(define-markup-command (furniture layout props width height side outer-left head level foot label tab tab-x tab-y on-black)
   (number? number? number? boolean? string? string? string? string? string? number? number? boolean?)
   ;; a stencil as large as the paper, a hair less so that it fits; y counts downwards from the top edge
   (let* ((u (mm->u layout)) (left side) (right (- width side)) (line (- width side side)) (st empty-stencil))
     (define (put! m x y align)
       (let ((s (ly:stencil-aligned-to (interpret-markup layout props m) X align)))
         (set! st (ly:stencil-add st (ly:stencil-translate s (cons (* u x) (* u (- y))))))))
     (define outer (if outer-left left right))
     (define inner (if outer-left right left))
     (define to-outer (if outer-left LEFT RIGHT))
     (define to-inner (if outer-left RIGHT LEFT))
     (define beside (head-logo-mm layout))
     (unless (and (string-null? head) (string-null? level))
       (if (> beside 0) (put! #{ \markup \head-logo #} inner 15.2 to-inner))
       (put! #{ \markup \abs-fontsize #8.5 \sans \cut-to #(- (* 0.5 line) beside) #0.9 #head #}
         (if outer-left (- inner beside) (+ inner beside)) 14.2 to-inner)
       (put! #{ \markup \abs-fontsize #13 \sans \bold \cut-to #(* 0.45 line) #0.7 #level #} outer 14.2 to-outer)
       (put! #{ \markup \mm-rule #line #0.25 #} left 16.2 LEFT))
     (put! #{ \markup \abs-fontsize #8 \sans \cut-to #(- line 16) #0.94 #foot #} inner (- height 10) to-inner)
     (put! #{ \markup \abs-fontsize #12 \sans \bold #label #} outer (- height 10) to-outer)
     (put! #{ \markup \abs-fontsize #11 \sans \bold \with-color #(if on-black white black) #tab #} tab-x (+ tab-y 1.4) to-outer)
     (ly:make-stencil (ly:stencil-expr st) (cons 0 (* u (- width 1))) (cons (* -1 u (- height 2)) 0))))

% --- left-handed players -----------------------------------------------------------------------------
% A \paper block with left-handed = ##t turns every picture of the neck round, as its player sees it: neck maps have the
% nut on the right, chord diagrams the low strings. Tablature is writing and is never turned.
#(define (left-handed? layout) (eq? #t (ly:output-def-lookup layout 'left-handed #f)))

% --- neck map --------------------------------------------------------------------------------------
% Options (lengths in mm): width string-gap first last taper strings bold-strings band used radius
% note-size label-size open dots; band (from . to): frets shaded; used: fret numbers set in bold;
% dots: (string fret name kind), kind one of start (black disc), used (open disc), ring, plain.
#(define (fret-x f first last width taper)
   ;; taper 0 = equal frets, 1 = true twelfth-root-of-two frets
   (let* ((true (lambda (n) (- 1 (expt 2 (/ (- n) 12.0)))))
          (eq (/ (- f first) (* 1.0 (- last first))))
          (tr (/ (- (true f) (true first)) (- (true last) (true first)))))
     (* width (+ (* taper tr) (* (- 1 taper) eq)))))
#(define map-keeps-names #f)  % whether names in its discs are never shrunk
#(define map-label-drop 4.2)  % from the last string to the middle of the fret numbers
#(define-markup-command (neck-map layout props opts) (list?)
   (let* ((u (mm->u layout))
          (get (lambda (k d) (let ((p (assq k opts))) (if p (cdr p) d))))
          (gap (* u (get 'string-gap 4)))
          (names (get 'strings '("E" "B" "G" "D" "A" "E")))  ; string 1 first
          (n (length names))  (H (* gap (1- n)))
          (first (get 'first 0))  (last (get 'last 15))  (taper (get 'taper 0.5))
          (open? (get 'open #f))
          (r (* u (get 'radius 2.25)))
          (fs (get 'note-size 8))  (ls (get 'label-size 8))
          (used (get 'used '()))  (band (get 'band #f))
          (marks '(3 5 7 9 12 15 17 19 21 24))
          (grey (lambda (s v) (stencil-with-color s (rgb-color v v v))))
          (long-name? (lambda (name) (> (string-length name) 2)))
          (roomy? (and map-keeps-names (any long-name? (append names (map caddr (get 'dots '()))))))
          (widest (lambda (words)
                    (apply max 0 (map (lambda (word)
                      (interval-length (ly:stencil-extent
                        (interpret-markup layout props #{ \markup \abs-fontsize #ls \sans \bold \note-name #word #}) X))) words))))
          (name-x (if roomy? (max (* u 1.6) (* 0.5 (widest names))) (* u 1.6)))
          ;; so much room at the nut for names is taken from the frets
          (width (* u (- (get 'width 150) (if (and roomy? open?) 9 0))))
          (left (+ (* u (cond ((not open?) 5) (roomy? 15.5) (else 11))) (* 2 (- name-x (* u 1.6)))))
          (turned (lambda (x) (if (left-handed? layout) (- (+ left width) x) x)))
          (fx (lambda (f) (turned (+ left (fret-x f first last width taper)))))
          (mid (lambda (f) (if (<= f first) (turned (- left (* u (if roomy? 5.6 3.4)))) (/ (+ (fx f) (fx (1- f))) 2))))
          (sy (lambda (s) (- (* gap (1- s)))))
          (st empty-stencil))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (define (at! s x y) (add! (ly:stencil-translate s (cons x y))))
     (define (text! m x y)
       (let ((s (interpret-markup layout props m)))
         (at! (ly:stencil-aligned-to (ly:stencil-aligned-to s X CENTER) Y CENTER) x y)))
     ;; 1. shaded working area
     (if band
       (let ((a (fx (1- (max (1+ first) (car band))))) (b (fx (cdr band))))
         (add! (area (min a b) (max a b) (- (+ H (* 0.5 gap))) (* 0.5 gap) u))))
     ;; 2. inlays
     (for-each
       (lambda (f)
         (when (and (> f first) (<= f last))
           (for-each
             (lambda (y) (at! (if low-ink (make-circle-stencil (* u 0.75) (* u 0.1) #f) (grey (make-circle-stencil (* u 0.75) 0 #t) 0.6)) (mid f) y))
             (if (= 0 (modulo f 12)) (list (* -0.3 H) (* -0.7 H)) (list (* -0.5 H))))))
       marks)
     ;; 3. frets, nut, strings, names
     (for-each
       (lambda (f)
         (add! (make-line-stencil (* u (if (= f 0) 1.1 0.22)) (fx f) 0 (fx f) (- H))))
       (iota (1+ (- last first)) first))
     (for-each
       (lambda (s name)
         (add! (make-line-stencil (* u (+ 0.12 (* 0.05 s))) (fx first) (sy s) (fx last) (sy s)))
         (text! (if (memv s (get 'bold-strings '()))
                  #{ \markup \abs-fontsize #ls \sans \bold \note-name #name #}
                  #{ \markup \abs-fontsize #ls \sans \with-color #ink-mid \note-name #name #})
           (turned name-x) (sy s)))
       (iota n 1) names)
     ;; 4. fret numbers: bold where played, grey at the inlays
     (for-each
       (lambda (f)
         (let ((y (- (+ H (* u map-label-drop)))) (t (number->string f)))
           (cond ((memv f used)
                  (text! #{ \markup \abs-fontsize #ls \sans \bold #t #} (mid f) y))
                 ((memv f marks)
                  (text! #{ \markup \abs-fontsize #ls \sans \with-color #ink-mid #t #} (mid f) y)))))
       (iota (- last first) (1+ first)))
     ;; 5. notes
     (for-each
       (lambda (d)
         (let* ((f (cadr d)) (x (mid f)) (y (sy (car d))) (name (caddr d)) (kind (cadddr d))
                (plain #{ \markup \abs-fontsize #fs \sans \note-name #name #})
                (bold #{ \markup \abs-fontsize #fs \sans \bold \note-name #name #})
                (drawn (interpret-markup layout props (if (memq kind '(start ring)) bold plain)))
                ;; A name longer than a letter and its sign (fa, sol) gets a longer disc, as long as its fret allows.
                (long (* 0.5 (+ (interval-length (ly:stencil-extent drawn X)) (* u 1.5))))
                (most (if (> f first) (max r (- (* 0.5 (- (fx f) (fx (1- f)))) (* u 0.15))) (* u 2.9)))
                (half (cond (roomy? (max r (- long (* u 0.3)))) ((long-name? name) (max r (min most long))) (else r)))
                (small (if roomy? 1 (min 1 (/ (- (* 2 half) (* u 0.7)) (max 0.1 (- (* 2 long) (* u 1.5)))))))
                (disc (lambda (inset colour)
                  (at! (stencil-with-color
                         (if (= half r) (make-circle-stencil (- r inset) 0 #t)
                           (ly:round-filled-box (cons (- inset half) (- half inset)) (cons (- inset r) (- r inset)) (* 2 (- r inset))))
                         colour) x y)))
                (ring (lambda (t)
                  (if (= half r) (begin (disc 0 white) (at! (make-circle-stencil r (* u t) #f) x y))
                    (begin (disc (* -0.5 u t) black) (disc (* 0.5 u t) white)))))
                (name! (lambda (m)
                  (let ((s (interpret-markup layout props m)))
                    (text! #{ \markup \stencil #(if (< small 1) (ly:stencil-scale s small small) s) #} x y)))))
           (case kind
             ((start) (if low-ink (begin (ring 0.7) (name! bold))
                        (begin (disc 0 black) (name! #{ \markup \with-color #white #bold #}))))
             ((ring) (ring 0.45) (name! bold))
             ((used) (ring 0.25) (name! plain))
             (else (disc 0 white) (name! plain)))))
       (get 'dots '()))
     (ly:stencil-aligned-to st Y UP)))

% --- strokes ---------------------------------------------------------------------------------------
% Large on the first note of a burst and its landing; small and grey inside, to be looked up, not read.
strokeDown = \tweak font-size #1 \downbow
strokeUp = \tweak font-size #1 \upbow
strokeDownSmall = \tweak font-size #-2 \tweak color #ink-mid \downbow
strokeUpSmall = \tweak font-size #-2 \tweak color #ink-mid \upbow
% Between the two over strummed chords, where every stroke is read.
strokeDownStrum = \tweak font-size #-1 \downbow
strokeUpStrum = \tweak font-size #-1 \upbow

% A cue behind the last note of a line keeps its place under the rest: its words take room of their own.
closingCue = \once \override LyricText.X-extent = #ly:grob::stencil-width

% A bracket that follows a beam ignores staff-padding: lift it until its nearer end clears the staff by one space.
#(define (outside-staff grob)
   (let* ((ends (ly:tuplet-bracket::calc-positions grob)) (dir (ly:grob-property grob 'direction))
          (lift (max 0 (- 3.1 (min (* dir (car ends)) (* dir (cdr ends)))))))
     (cons (+ (car ends) (* dir lift)) (+ (cdr ends) (* dir lift)))))

% In the lower of two voices everything goes below.
lowerMarks = {
  \override Fingering.direction = #DOWN
  \override Script.direction = #DOWN
}
% The thumb's letters stand under the tablature; the distance counts to their base line.
lowerLetters = {
  \override TextScript.staff-padding = #1.75
  \override Slur.direction = #DOWN
}

% --- signs of both hands -----------------------------------------------------------------------------
% One lane over the tablature: strokes, letters of the plucking hand, H and P. All letters count as equally high,
% so that a p hangs below the line it shares with i, m and a.
% Slurs over the first string need room below the lane: it is lifted wherever slurs are drawn.
slurLane = {
  \override Slur.direction = #UP
  \override Slur.height-limit = #1.3
  \override Script.avoid-slur = #'ignore
  \override Script.staff-padding = #2
  \override TextScript.staff-padding = #2.1
}
#(define-markup-command (lane-letter layout props arg) (markup?)
   (let ((s (interpret-markup layout props arg)))
     (ly:make-stencil (ly:stencil-expr s) (ly:stencil-extent s X) (cons 0 (* 2 (mm->u layout))))))
#(define (pluck-markup txt) #{ \markup \lane-letter \abs-fontsize #10.5 \italic #txt #})
#(define (slur-markup txt) #{ \markup \lane-letter \abs-fontsize #8 \sans \bold #txt #})
pluck = #(define-event-function (txt) (string?)
   (make-music 'TextScriptEvent 'text (pluck-markup txt)))

% How far left of GROB's column the notes of ONSET stand; no number where they are on another line.
#(define (way-back grob onset)
   (let* ((system (ly:grob-system grob)) (moment (ly:make-moment onset))
          (from (find (lambda (column) (and (not (ly:grob-property column 'non-musical #f))
                                            (equal? (ly:grob-property column 'when) moment)))
                      (ly:grob-array->list (ly:grob-object system 'columns)))))
     (and from (- (ly:grob-relative-coordinate from system X)
                  (ly:grob-relative-coordinate (ly:item-get-column grob) system X)))))
#(define (toward onset)
   ;; H and P stand between two notes, nearer to the second: the stroke over the first one needs its place
   (lambda (grob)
     (let ((u (mm->u (ly:grob-layout grob))))
       (ly:grob-translate-axis! grob (* 0.4 (or (way-back grob onset) (* -5 u))) X))))
slurLetter = #(define-event-function (onset txt) (rational? string?)
   (make-music 'TextScriptEvent 'text (slur-markup txt)
     'tweaks (list (cons '(TextScript . after-line-breaking) (toward onset)))))

#(define (arrow-head x y dir u)
   (ly:stencil-translate
     (make-path-stencil `(moveto 0 0 lineto ,(* 0.55 u) ,(* -1.2 dir u) lineto ,(* -0.55 u) ,(* -1.2 dir u) closepath)
       0 1 1 #t)
     (cons x y)))
#(define (curve u . points)
   (make-path-stencil (cons 'moveto points) (* 0.2 u) 1 1 #f))
% A bend: an arrow from the fret that was struck up over the tablature, how far in whole tones at its head. The way
% back: an arrow down to the fret in brackets. Both are drawn when the line is set and their length is known; only
% digits stand on white, or an arrow would wipe out the strings it crosses.
#(define (over-tab grob u)
   (let ((space (ly:staff-symbol-staff-space grob))
         (lines (ly:grob-property (ly:grob-object grob 'staff-symbol) 'line-count)))
     (+ (* 0.5 space (- (1- lines) (ly:grob-property grob 'staff-position))) (* 2.4 u))))
#(define (bend-arrow onset amount)
   (lambda (grob)
     (let* ((u (mm->u (ly:grob-layout grob))) (x (* 0.9 u)) (y (over-tab grob u))
            (from (+ (or (way-back grob onset) (* -5 u)) (* 2.3 u))))
       (ly:grob-set-property! grob 'stencil
         (ly:stencil-add
           (curve u from 0 'curveto (+ from (* 0.8 (- x from))) 0 x (* 0.3 y) x (- y u))
           (arrow-head x y 1 u)
           (ly:stencil-translate
             (ly:stencil-aligned-to
               (grob-interpret-markup grob #{ \markup \abs-fontsize #10.5 \sans \bold #amount #}) X CENTER)
             (cons x (+ y (* 0.5 u)))))))))
#(define (release-arrow onset)
   (lambda (grob)
     (let* ((u (mm->u (ly:grob-layout grob))) (x (* 0.9 u)) (y (over-tab grob u)) (low (* 1.5 u))
            (from (+ (or (way-back grob onset) (* -5 u)) x (* 0.8 u))))
       (ly:grob-set-property! grob 'display-cautionary #t)
       (ly:grob-set-property! grob 'stencil
         (ly:stencil-add (stencil-whiteout-box (tab-note-head::print grob) 0)
           (curve u from (- y (* 0.6 u)) 'curveto (* 0.5 (+ from x)) (- y (* 0.6 u)) x (* 0.8 y) x (+ low u))
           (arrow-head x low -1 u))))))
bendUp = #(define-music-function (onset amount note) (rational? string? ly:music?)
   #{ \tweak after-line-breaking #(bend-arrow onset amount) \tweak stencil ##f \tweak X-extent #'(0 . 1.2)
      \tweak whiteout ##f #note #})
bendBack = #(define-music-function (onset note) (rational? ly:music?)
   #{ \tweak after-line-breaking #(release-arrow onset) \tweak whiteout ##f #note #})

% A harmonic's fret stands between two angles: round brackets mean a fret reached without a stroke.
#(define (between-angles stencil half-thickness width angularity padding)
   (let* ((x (ly:stencil-extent stencil X)) (y (interval-widen (ly:stencil-extent stencil Y) 0.1))
          (mid (interval-center y)) (reach 0.5) (gap 0.18)
          (angle (lambda (edge dir)
                   (make-path-stencil
                     `(moveto ,edge ,(car y) lineto ,(+ edge (* dir reach)) ,mid lineto ,edge ,(cdr y)) 0.13 1 1 #f))))
     (ly:stencil-add stencil (angle (- (car x) gap) -1) (angle (+ (cdr x) gap) 1))))

% A guide finger: a short dash before its number.
#(define (guided digit)
   #{ \markup \concat { \raise #0.42 \override #'(thickness . 1.7) \draw-line #'(0.75 . 0) \hspace #0.15 #digit } #})
guideFinger = #(define-event-function (finger) (integer?)
   (make-music 'FingeringEvent 'digit finger
     'tweaks (list (cons '(Fingering . text) (guided (number->string finger))))))

% Over the staff: the fret a hand moves to, and barres with a line as long as they are held.
#(define (hand-markup txt) #{ \markup \abs-fontsize #9 \sans \bold #txt #})
handSign = #(define-event-function (txt) (string?)
   (make-music 'TextScriptEvent 'direction UP 'text (hand-markup txt)))
barreFrom = #(define-event-function (txt) (string?)
   (make-music 'TextSpanEvent 'span-direction START
     'tweaks (list (cons '(TextSpanner bound-details left text) (hand-markup (string-append txt " "))))))

% --- chord diagrams ------------------------------------------------------------------------------------
% Options: strings; first: the fret of the first row; rows; dots: (string row finger kept) with finger 0 for none;
% barres: (from-string to-string row); open, muted: strings. A black disc is put down, a ring stays down from the shape
% before.
#(define grid-size 1)
#(define-markup-command (chord-grid layout props opts) (list?)
   (let* ((u (* grid-size (mm->u layout)))
          (get (lambda (k d) (let ((p (assq k opts))) (if p (cdr p) d))))
          (n (get 'strings 6)) (first (get 'first 1)) (rows (get 'rows 4))
          (gap (* u 2.75)) (row (* u 2.9)) (W (* gap (1- n))) (H (* row rows)) (r (* u 1.2))  ; discs side by side keep apart
          (sx (lambda (s) (if (left-handed? layout) (* gap (1- s)) (- W (* gap (1- s))))))
          (ry (lambda (k) (- (* row (- k 0.5)))))
          (st empty-stencil))
     (define (add! s) (set! st (ly:stencil-add st s)))
     (define (text! m x y align)
       (let ((s (ly:stencil-aligned-to (interpret-markup layout props m) Y CENTER)))
         (add! (ly:stencil-translate (ly:stencil-aligned-to s X align) (cons x y)))))
     (define (disc! x y filled)
       (add! (ly:stencil-translate
               (stencil-with-color (make-circle-stencil r 0 #t) (if (and filled (not low-ink)) black white)) (cons x y)))
       (if (or low-ink (not filled))
         (add! (ly:stencil-translate
                 (cond ((not low-ink) (make-circle-stencil (- r (* u 0.12)) (* u 0.24) #f))
                       (filled (make-circle-stencil r (* u 0.15) #f))
                       (else (square-outline r (* u 0.15))))
                 (cons x y)))))
     (for-each (lambda (k) (add! (make-line-stencil (* u 0.15) 0 (- (* row k)) W (- (* row k))))) (iota (1+ rows)))
     (for-each (lambda (s) (add! (make-line-stencil (* u 0.15) (sx s) 0 (sx s) (- H)))) (iota n 1))
     (if (= first 1) (add! (ly:round-filled-box (cons (* u -0.08) (+ W (* u 0.08))) (cons 0 (* u 0.8)) 0))
       (text! #{ \markup \abs-fontsize #8.5 \sans \bold #(number->string first) #} (- 0 r (* u 1)) (ry 1) RIGHT))
     (for-each (lambda (s) (add! (ly:stencil-translate (make-circle-stencil (* u 0.75) (* u 0.2) #f)
                                   (cons (sx s) (* u 2.1))))) (get 'open '()))
     (for-each (lambda (s) (for-each (lambda (dir)
                 (add! (make-line-stencil (* u 0.22) (- (sx s) (* u 0.7)) (- (* u 2.1) (* u 0.7 dir))
                         (+ (sx s) (* u 0.7)) (+ (* u 2.1) (* u 0.7 dir))))) '(-1 1))) (get 'muted '()))
     (for-each (lambda (b) (let ((x (sx (car b))) (z (sx (cadr b))) (y (ry (caddr b))))
                 (add! (ly:round-filled-box (cons (min x z) (max x z))
                         (if low-ink (cons (- y (* u 0.12)) (+ y (* u 0.12))) (cons (- y (* u 0.5)) (+ y (* u 0.5))))
                         (if low-ink 0 (* u 0.5))))))
       (get 'barres '()))
     (for-each (lambda (d)
                 (let* ((x (sx (car d))) (y (ry (cadr d))) (finger (caddr d)) (kept (cadddr d))
                        (digit (number->string finger)))
                   (disc! x y (not kept))
                   (if (> finger 0)
                     (text! (if (or kept low-ink) #{ \markup \abs-fontsize #7.5 \sans \bold #digit #}
                              #{ \markup \abs-fontsize #7.5 \sans \bold \with-color #white #digit #}) x y CENTER))))
       (get 'dots '()))
     (ly:make-stencil (ly:stencil-expr st) (ly:stencil-extent st X) (cons (- H) (* u 3.1)))))
#(define-markup-command (chord-shape layout props opts parts) (list? list?)
   ;; the name stays on the line of all names, the grid stands over it; both begin above the notes
   (let* ((u (mm->u layout))
          (grid (interpret-markup layout props (make-chord-grid-markup opts)))
          (name (interpret-markup layout props (make-chord-name-markup parts)))
          (both (ly:stencil-add name
                  (ly:stencil-translate-axis grid (- (* 4.8 u) (interval-start (ly:stencil-extent grid Y))) Y))))
     ;; The grid counts by its outline alone: counted by its height as well, it is pushed down on the notes of a first
     ;; system under a running head.
     (ly:make-stencil (ly:stencil-expr both) (interval-widen (ly:stencil-extent both X) (* 0.8 u))
       (ly:stencil-extent name Y))))

% --- lanes and staves -------------------------------------------------------------------------------
% A cue may be longer than the rest over it: at the end of a line it moves left, never off the paper.
#(define (keep-inside grob)
   (let* ((system (ly:grob-system grob)) (layout (ly:grob-layout grob))
          (stencil (ly:grob-property grob 'stencil))
          (right (+ (ly:grob-relative-coordinate grob system X)
                    (cdr (ly:stencil-extent stencil X))))
          (room (ly:output-def-lookup layout 'line-width)))
     (if (> right room) (ly:grob-translate-axis! grob (- room right) X))))
% LilyPond itself says nothing when music is wider than the line. Only the column position is read:
% asking the system for its X extent here would wreck the vertical layout of the page.
#(define (guard-width system)
   (let ((right (ly:grob-relative-coordinate (ly:spanner-bound system RIGHT) system X))
         (room (ly:output-def-lookup (ly:grob-layout system) 'line-width)))
     (if (> right (+ room 0.6))
       (ly:warning "MUSIC-OVERFLOW: system ~a, line ~a staff spaces" right room))))
chordLane = \with {
  \override VerticalAxisGroup.staff-affinity = #DOWN
  \override VerticalAxisGroup.nonstaff-nonstaff-spacing =
    #'((basic-distance . 3) (padding . 0.9) (stretchability . 0))
  \override VerticalAxisGroup.nonstaff-relatedstaff-spacing =
    #'((basic-distance . 4) (padding . 0.9) (stretchability . 0))
}
% A chord with a diagram takes room of its own, so that its neighbour can't run into it.
diagram = \once \override LyricText.X-extent = #ly:grob::stencil-width
handLane = \with {
  \override VerticalAxisGroup.staff-affinity = #DOWN
  \override VerticalAxisGroup.nonstaff-nonstaff-spacing =
    #'((basic-distance . 3) (padding . 0.7) (stretchability . 0))
  \override VerticalAxisGroup.nonstaff-relatedstaff-spacing =
    #'((basic-distance . 3.4) (padding . 2) (stretchability . 0))   % less, and stems run into numerals
  \override TextScript.font-shape = #'upright
  \override TextSpanner.font-shape = #'upright
  \override TextSpanner.style = #'line
  \override TextSpanner.thickness = #1.2
  \override TextSpanner.bound-details.left.attach-dir = #LEFT
  \override TextSpanner.bound-details.left.padding = #0
  \override TextSpanner.bound-details.left.stencil-align-dir-y = #-0.4
  \override TextSpanner.bound-details.left-broken.text = ##f
  \override TextSpanner.bound-details.right.text = \markup \draw-line #'(0 . -0.9)
  \override TextSpanner.bound-details.right.padding = #-1.5
  \override TextSpanner.bound-details.right-broken.text = ##f
  \override TextSpanner.bound-details.right-broken.padding = #0.5
}
cueLane = \with {
  \override LyricText.after-line-breaking = #keep-inside
  \override VerticalAxisGroup.staff-affinity = #UP
  \override VerticalAxisGroup.nonstaff-relatedstaff-spacing =
    #'((basic-distance . 6.4) (minimum-distance . 5.6) (padding . 0.9) (stretchability . 0))
}
\layout {
  \context { \Lyrics
    \override LyricText.X-extent = #'(0 . 0)    % words never move the notes
    \override LyricText.X-offset = #0 }
  \context { \StaffGroup
    systemStartDelimiter = #'SystemStartBar     % the default bracket hangs outside the margin
    \override StaffGrouper.staff-staff-spacing =
      #'((basic-distance . 9.5) (minimum-distance . 9) (padding . 1.4) (stretchability . 0)) }
  \context { \Staff
    \omit StringNumber
    \numericTimeSignature
    fingeringOrientations = #'(left)            % in chords: each finger beside its own note
    \override Script.direction = #UP            % accents stay on top, whatever the stem does
    \override Fingering.font-size = #-4
    \override Fingering.layer = #1
    \override Fingering.whiteout = #0.6         % in chords numbers stand on staff lines, and slides run past them
    \override Fingering.direction = #UP
    \override Fingering.add-stem-support = ##t  % over or under a stem, never beside it
    % A number on a beam inside the staff is crossed by its lines: the bracket carries it outside.
    \override TupletBracket.bracket-visibility = ##t
    \override TupletBracket.staff-padding = #1.1
    \override TupletBracket.positions = #outside-staff
    \override TupletBracket.thickness = #1.2
    \override TupletBracket.edge-height = #'(0.5 . 0.5)
    \override TupletNumber.font-size = #-1
    \consists Merge_rests_engraver }            % two voices that rest together print one rest
  \context { \TabStaff
    \revert Script.stencil                      % TabStaff hides scripts unless told otherwise
    \hideSplitTiedTabNotes
    \override Script.direction = #UP
    \override Script.staff-padding = #0.9
    \revert TextScript.stencil
    \override TextScript.outside-staff-priority = ##f   % letters keep to their lane
    \override TextScript.staff-padding = #1.2
    \override TextScript.avoid-slur = #'ignore
    \override TextScript.padding = #0
    \override TextScript.self-alignment-X = #CENTER
    \override TextScript.parent-alignment-X = #CENTER
    \override TabNoteHead.details.harmonic-properties.procedure = #between-angles
    \override TabNoteHead.font-family = #'sans
    \override TabNoteHead.font-series = #'bold
    \override TabNoteHead.font-size = #-1 }
  \context { \Score
    autoBeaming = ##f                           % beams are written out, beat by beat
    subdivideBeams = ##t
    \override System.after-line-breaking = #guard-width
    \override BarNumber.font-family = #'sans
    \override BarNumber.font-size = #-1.3
    \override BarNumber.color = #ink-mid
    \override SectionLabel.font-size = #0
    \override SpacingSpanner.shortest-duration-space = #4.0 }
}

% --- one staff alone ------------------------------------------------------------------------------------
% A staff without tablature: strings in circles, the plucking hand over it, outside of fingers and accents.
#(define-markup-command (bend-sign layout props dir amount) (number? string?)
   (interpret-markup layout props
     #{ \markup \concat { \drawn-bend #dir \mm-gap #0.3 \abs-fontsize #10.5 \sans \bold #amount } #}))
bentTo = #(define-event-function (amount) (string?)
   (make-music 'TextScriptEvent 'direction UP 'text (make-bend-sign-markup 1 amount)))
letBack = #(define-event-function () ()
   (make-music 'TextScriptEvent 'direction UP 'text (make-bend-sign-markup -1 "")))
staffAlone = \with {
  \override StringNumber.stencil = #print-circled-text-callback
  \override StringNumber.font-size = #-5.5
  \override StringNumber.add-stem-support = ##t
  \override StringNumber.direction = #UP
  stringNumberOrientations = #'(up)
  \override TextScript.self-alignment-X = #CENTER
  \override TextScript.parent-alignment-X = #CENTER
}
nearCues = \with {
  \override VerticalAxisGroup.nonstaff-relatedstaff-spacing =
    #'((basic-distance . 5) (minimum-distance . 4) (padding . 0.9) (stretchability . 0))
}
% A tablature without staff: stems, flags and beams stand clear of its lines, all ends on one level, fingers over it.
#(define (tab-edge grob)
   ;; the last line of the staff on the side of GROB's stem, in staff spaces from its middle
   (* 0.5 (ly:grob-property grob 'direction)
      (1- (ly:grob-property (ly:grob-object grob 'staff-symbol) 'line-count))))
#(define tab-stem-reach 2.4)
#(define (tab-stem-length grob)
   (let* ((dir (ly:grob-property grob 'direction))
          (places (map (lambda (head) (* dir (ly:grob-property head 'staff-position)))
                       (ly:grob-array->list (ly:grob-object grob 'note-heads)))))
     (if (null? places) 0
       (- (* 2 dir (+ (tab-edge grob) (* dir tab-stem-reach))) (apply max places)))))
#(define (tab-beam-positions grob)
   (let ((y (+ (tab-edge grob) (* (ly:grob-property grob 'direction) tab-stem-reach)))) (cons y y)))
#(define (tab-stem grob)
   (let* ((s (ly:stem::print grob)) (dir (ly:grob-property grob 'direction))
          (near (* (ly:staff-symbol-staff-space grob) (+ (tab-edge grob) (* dir 0.55)))))
     (if (or (not (ly:stencil? s)) (interval-empty? (ly:stencil-extent s Y))) s
       (let* ((y (ly:stencil-extent s Y)) (far (if (= dir UP) (cdr y) (car y)))
              (line (ly:round-filled-box (ly:stencil-extent s X) (ordered-cons near far) 0)))
         (if (= 1 (ly:grob-property grob 'duration-log))
           (ly:stencil-add line (ly:stencil-translate-axis line 0.6 X))
           line)))))
tabAlone = \with {
  \numericTimeSignature
  fingeringOrientations = #'(up)
  \override Fingering.side-axis = #Y         % for fingers of chords, which tablature leaves without one
  \override Fingering.font-size = #-4
  \override Fingering.direction = #UP
  \override Fingering.outside-staff-priority = #100   % else it stands among the frets, which are figures too
  \override Fingering.outside-staff-padding = #0.3
  \override TupletBracket.bracket-visibility = ##t
  \override TupletBracket.staff-padding = #1.1
  \override TupletBracket.thickness = #1.2
  \override TupletBracket.edge-height = #'(0.5 . 0.5)
  \override TupletNumber.font-size = #-1
  \consists Merge_rests_engraver
}
% Of two voices each has its stems outside, and its letters and strokes beyond them.
overStems = {
  \override TextScript.staff-padding = #4.6
  \override Script.staff-padding = #4.2
}
tabValues = {
  \tabFullNotation
  \override TabStaff.Stem.stencil = #tab-stem
  \override TabStaff.Stem.length = #tab-stem-length
  \override TabStaff.Beam.positions = #tab-beam-positions
  \set TabStaff.autoBeaming = ##f
}
