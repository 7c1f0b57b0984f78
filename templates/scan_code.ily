% A square code: its side in mm, the quiet zone on every side in modules, and its rows from the top as "0110…", 1 = dark.
#(define (scan-code-row row left top)
   (let loop ((from 0) (made '()))
     (let ((start (string-index row #\1 from)))
       (if (not start)
           made
           (let* ((end (or (string-index row #\0 start) (string-length row)))
                  (run (- end start)))
             (loop end
                   `((moveto ,(+ left start) ,top) (rlineto ,run 0) (rlineto 0 -1) (rlineto ,(- run) 0) (closepath)
                     ,@made)))))))

#(define-markup-command (scan-code layout props side-mm quiet rows) (number? number? list?)
   (let* ((modules (+ (length rows) (* 2 quiet)))
          (side (/ side-mm (ly:output-def-lookup layout 'output-scale)))
          (module (/ side modules))
          (commands (append-map (lambda (row number) (scan-code-row row quiet (- modules quiet number)))
                                rows (iota (length rows))))
          (path (interpret-markup layout props
                 #{ \markup \scale #(cons module module) \override #'(filled . #t) \path #0 #commands #})))
     (ly:make-stencil (ly:stencil-expr path) (cons 0 side) (cons 0 side))))
