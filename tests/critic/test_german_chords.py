"""Where chords are called German, the critic wants H where the document says B, and nothing else changed."""

from __future__ import annotations

import pytest

from builder.critic.expected import _in_german


@pytest.mark.parametrize(
    ("symbol", "printed"),
    [
        ("B", "H"),
        ("B7", "H7"),
        ("Bm7b5", "Hm7b5"),
        ("G/B", "G/H"),
        ("Bb", "Bb"),
        ("Bbmaj7/D", "Bbmaj7/D"),
        ("Am", "Am"),
    ],
)
def test_h_stands_for_b(symbol, printed):
    assert _in_german(symbol) == printed
