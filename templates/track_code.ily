% track_code.ily -- the square code beside a study's title that leads to its tracks.
#(define (code-row row top)
   ;; the dark stretches of a row as commands of a path; "1" = dark
   (let loop ((from 0) (made '()))
     (let ((start (string-index row #\1 from)))
       (if (not start)
           made
           (let* ((end (or (string-index row #\0 start) (string-length row)))
                  (run (- end start)))
             (loop end
                   `((moveto ,start ,top) (rlineto ,run 0) (rlineto 0 -1) (rlineto ,(- run) 0) (closepath)
                     ,@made)))))))
#(define-markup-command (track-code layout props side rows) (number? list?)
   ;; SIDE mm without the quiet zone; ROWS from the top
   (let* ((u (* side (mm->u layout))) (count (length rows)) (module (/ u count))
          (commands (append-map (lambda (row number) (code-row row (- count number))) rows (iota count)))
          (path (interpret-markup layout props
                 #{ \markup \scale #(cons module module) \override #'(filled . #t) \path #0 #commands #})))
     (ly:make-stencil (ly:stencil-expr path) (cons 0 u) (cons 0 u))))
#(define-markup-command (beside-code layout props width side quiet rows caption arg)
   (number? number? number? list? list? markup?)
   ;; ARG with a code SIDE mm wide at the end of a line of WIDTH mm, lines of CAPTION before it. The code's upper quiet
   ;; zone of QUIET mm fills what the head of the page leaves over the title, 2.8 mm; the one at its right is margin.
   (let* ((u (mm->u layout)) (w (* u width)) (left (- w (* u (+ side quiet))))
          (s (interpret-markup layout props arg)) (reach (ly:stencil-extent s Y))
          (top (cdr reach)) (code-top (+ top (* u (max 0 (- 2.8 quiet)))))
          (code (ly:stencil-aligned-to (interpret-markup layout props #{ \markup \track-code #side #rows #}) Y UP))
          (words (interpret-markup layout (prepend-alist-chain 'baseline-skip (* u 3.2) props)
                   (make-abs-fontsize-markup 8 (make-sans-markup (make-right-column-markup caption))))))
     (ly:make-stencil
       (ly:stencil-expr (ly:stencil-add s
         (ly:stencil-translate code (cons (- w (* u side)) code-top))
         (ly:stencil-translate (ly:stencil-aligned-to (ly:stencil-aligned-to words X RIGHT) Y UP) (cons left code-top))))
       (cons 0 w)
       (cons (min (car reach) (- code-top (* u (+ side quiet)))) top))))
