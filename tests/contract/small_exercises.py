"""Small exercises that keep every rule: one for each thing a rule looks at, to be spoilt by `test_rules_can_fail`.

In, Out:  the text of exercise files; each gives at least one study on a guitar under a medium hand
"""

from __future__ import annotations

FERRY_STEPS = """\
id: ferry-steps
title: Ferry Steps
key: D minor
material: {kind: chord-loop, chords: [Dm, Gm, Bb, A], set-size: 3}
contour: {order: [1, 2, 3, 2], times: 2, land: 1}
rhythm: {meter: 4/4, notes-per-beat: 4, rest: to-barline}
neck: {path: one-string, start: {note: D, places: each-string}}
strokes: {rule: alternate, first: down}
tempo: {from: 60, to: 108, steps: 5}
checkpoints: {at: rests, cues: rotate}
"""
EXERCISES = {
    "legato": """
title: Slack Rope
material: {kind: fingers, pattern: [1, 2, 4, 2], strings: [3, 2]}
rhythm: {notes-per-beat: 4, rest: to-barline}
neck: {path: position, start: {places: [{string: 3, fret: 7}]}}
strokes: {rule: legato, pluck: [1, 3], pluck-in: string}
""",
    "fingers": """
title: Two Feet
material: {kind: fingers, pattern: [1, 2, 3, 4], strings: [3, 2]}
rhythm: {notes-per-beat: 4, rest: to-barline, accents: 3}
neck: {path: position, start: {places: [{string: 3, fret: 7}]}}
strokes: {rule: fingers, order: [i, m]}
""",
    "pima": """
title: Four Ropes
key: G major
material: {kind: scale, octaves: 1}
rhythm: {notes-per-beat: 2, swing: true}
neck: {path: position, start: {places: [{string: 6, fret: 3}]}}
strokes: {rule: pima}
""",
    "strum": """
title: Swell
key: G major
material: {kind: scale, notes: 6}
rhythm: {notes-per-beat: 2, displace: 1/2}
neck: {path: position, start: {places: [{string: 6, fret: 3}]}}
strokes: {rule: strum, pattern: [down, up]}
""",
    "turns": """
title: Four and Three
key: G major
material: {kind: scale, notes: 7}
rhythm: {notes-per-beat: [4, 3]}
neck: {path: position, start: {places: [{string: 6, fret: 3}]}}
""",
    "free": """
title: Long Reach
key: G major
material: {kind: scale, notes: 9}
rhythm: {notes-per-beat: 4}
neck: {path: free, strings: [6, 5, 4, 3, 2], shift-on: [4], open-strings: false,
       start: {places: [{string: 6, fret: 3}]}}
""",
    "crossing": """
title: Over and Back
key: A major
material: {kind: chord-loop, chords: [A, E]}
contour: {order: [1, 2, 3, 2], strings: [4, 4, 3, 4]}
neck: {path: position, start: {note: A3}}
""",
    "double-notes": """
title: Pair of Planks
key: C major
material: {kind: double-notes, interval: third, notes: 5, strings: [3, 2]}
rhythm: {notes-per-beat: 1}
neck: {start: {note: C}}
strokes: {rule: pima}
""",
    "double-notes down": """
title: Pair of Poles
key: C major
material: {kind: double-notes, interval: third, notes: 5, strings: [3, 2]}
rhythm: {notes-per-beat: 1}
neck: {start: {note: C}}
strokes: {rule: down}
""",
    "slides": """
title: Skid
key: A minor
material: {kind: slides, notes: 4, steps: 2, finger: 2}
rhythm: {notes-per-beat: 2, burst: 2}
neck: {start: {places: [{string: 3, fret: 2}]}}
""",
    "bends": """
title: Push
key: A minor
material: {kind: bends, scale: A minor pentatonic, notes: 3, release: true}
rhythm: {notes-per-beat: 1, burst: 3}
neck: {start: {places: [{string: 3, fret: 5}]}}
""",
    "harmonics": """
title: Ring
material: {kind: harmonics, frets: [12, 7], strings: [4, 3]}
rhythm: {notes-per-beat: 1}
strokes: {rule: none}
""",
    "drone": """
title: Hum
key: E minor
material: {kind: drone, drone: 6, notes: 4}
rhythm: {notes-per-beat: 2}
neck: {start: {places: [{string: 4, fret: 2}]}}
strokes: {rule: down}
""",
    "turn-taking drone": """
title: Hum and Walk
key: A minor
material: {kind: drone, drone: 5, notes: 4, strike: alternate}
rhythm: {notes-per-beat: 2}
neck: {start: {places: [{string: 4, fret: 7}]}}
""",
    "holds": """
title: Gate
material: {kind: holds, shape: barre, strings: 3, rounds: 2}
rhythm: {notes-per-beat: 1, rest: 4}
neck: {start: {places: [{string: 3, fret: 7}]}}
strokes: {rule: none}
""",
    "right-hand": """
title: Drops
key: A minor
material: {kind: right-hand, chords: [Am, Dm], pattern: [p, i, m, a], times: 2}
rhythm: {notes-per-beat: 2, rest: none}
neck: {start: {places: [{string: 5, fret: 0}]}}
strokes: {rule: pima}
""",
    "barre": """
title: Fall Gate
key: F major
material: {kind: chord-changes, chords: [{chord: F, frets: "133211"}], beats: 4}
rhythm: {notes-per-beat: 2, rest: none}
neck: {start: {places: [{string: 6, fret: 1}]}}
strokes: {rule: down}
""",
    "chord-changes": """
title: Change
key: C major
material: {kind: chord-changes, chords: [C, Am], beats: 4}
rhythm: {notes-per-beat: 2, rest: none}
neck: {start: {places: [{string: 5, fret: 3}]}}
strokes: {rule: strum, pattern: [down, miss, down, up]}
""",
}
