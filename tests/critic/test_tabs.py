"""The page critic knows a figure on a tab of the thumb index from one that has strayed into the margin."""

from __future__ import annotations

import pytest

from builder.critic.gist import _on_tab
from builder.critic.ink import Area, Box, Ink

FIGURE = Box(203, 50, 205, 53)


def ink(*boxes: Box) -> Ink:
    return Ink(210, 297, (), (), (), tuple(Area(box, False, True, 0.0) for box in boxes))


@pytest.mark.parametrize(
    ("boxes", "tab"),
    [
        ((Box(201.5, 43, 213, 60),), True),  # runs out into the bleed
        ((Box(201.5, 43, 210, 60),), True),  # ends at the edge
        ((Box(150, 43, 206, 60),), False),  # a shaded area on the page
        ((Box(204, 43, 213, 60),), False),  # beside the figure
        ((Box(201.5, 70, 213, 90),), False),  # further down
        ((), False),
    ],
)
def test_a_figure_on_a_tab_is_no_stray(boxes, tab):
    assert _on_tab(FIGURE, ink(*boxes)) is tab


def test_tabs_stand_at_either_edge():
    assert _on_tab(Box(5, 50, 7, 53), ink(Box(-3, 43, 8.5, 60)))
