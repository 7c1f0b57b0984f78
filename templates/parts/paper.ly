[% if paper.scale == 1 %]
#(set-default-paper-size "[[ paper.name ]]")
[% else %]
#(set-default-paper-size '(cons (* [[ paper.width_mm ]] mm) (* [[ paper.height_mm ]] mm)))
[% endif %]
#(define low-ink #[[ 't' if book.low_ink else 'f' ]])
#(define rule-weight [[ book.look.rule_weight ]])
#(define heading-series '[[ book.look.heading_series ]])
#(define large-print #[[ 't' if book.large_print else 'f' ]])
#(define large-least [[ paper.least_pt ]])
\paper {
  left-margin = [[ paper.side_mm ]]\mm  right-margin = [[ paper.side_mm ]]\mm
  top-margin = [[ paper.top_mm ]]\mm  bottom-margin = [[ paper.foot_mm ]]\mm
}
