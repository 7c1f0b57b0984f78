"""Materials that place their notes themselves, under every stroke rule: each is played, or refused at its key."""

from __future__ import annotations

import pytest
import yaml

from builder.materials import materials
from builder.registry import registered
from tests.materials.playing import check, composed, notes, problems_of

KINDS = ("bends", "double-notes", "drone", "harmonics", "holds", "slides")
RULES = registered("builder.strokes", "STROKES")
NEEDS = {"legato": {"pluck": [1]}, "strum": {"pattern": ["down"]}}


def example(kind, rule):
    spec = yaml.safe_load(materials()[kind].example)
    return {**spec, "strokes": {"rule": rule, **NEEDS.get(rule, {})}}


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("kind", KINDS)
def test_every_rule_is_played_or_refused_where_it_stands(kind, rule):
    refused = problems_of(**example(kind, rule))
    assert all(problem.startswith("strokes") for problem in refused), refused
    allowed = materials()[kind].rules
    assert refused or allowed is None or rule in allowed
    if not refused:
        for study in composed(**example(kind, rule)).studies:
            check(study)
            assert all((note.stroke is None) == (note.slurred or rule == "none") for note in notes(study))


@pytest.mark.parametrize("rule", ["alternate", "down", "economy", "none"])
@pytest.mark.parametrize("kind", KINDS)
def test_the_plain_rules_go_with_all_of_them(kind, rule):
    assert composed(**example(kind, rule)).studies


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("path", [*registered("builder.paths", "PATH")])
def test_no_path_goes_with_any_of_them(kind, path):
    walked = {path: 2} if registered("builder.paths", "PATH")[path].counted else path
    spec = example(kind, "none")
    found = problems_of(**{**spec, "neck": {**spec.get("neck", {}), "path": walked}})
    assert [problem.split(":")[0] for problem in found] == ["neck.path"]
