"""Answers that make no sense together: a key that nothing reads, a path or a rule that does not go with a material.

Stage:    2 expand
In, Out:  a checked exercise, its instrument; findings `(path, found, expected, hint)`
Not here: what one key shows by itself (`answers`), what only the notes show (`compose`)
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.fields import one_of
from builder.registry import registered
from builder.spec.load import LoadedExercise
from builder.spec.models import ExerciseModel
from builder.spec.plan import KeyPath
from builder.theory.fretboard import Instrument

Finding = tuple[KeyPath, str, str, str]
"""Path, found, expected, hint."""


def senseless(exercise: LoadedExercise, model: ExerciseModel) -> Iterator[Finding]:
    """Return what of the other answers does not go with the material."""
    yield from _contour_findings(exercise, model)
    yield from _rhythm_findings(exercise, model)
    yield from _combination_findings(exercise, model)


def _contour_findings(exercise: LoadedExercise, model: ExerciseModel) -> Iterator[Finding]:
    if exercise.material is None:
        return
    kind, contour = exercise.material.kind, model.contour
    if exercise.material.contour == "unused":
        if contour is not None:
            yield ("contour",), "a contour", f"none: '{kind}' is played in the order it is written", "take it out"
    elif exercise.material.contour == "needed":
        if contour is None:
            expected = f"the order in which the notes of '{kind}' are played"
            yield ("contour",), "nothing", expected, "for example contour: {order: [1, 2, 3]}"
        elif contour.passes is not None:
            for index, each in enumerate(contour.passes):
                if each.order is None:
                    yield ("contour", "passes", index), "a pass without an order", "a key 'order'", ""
        elif contour.order is None:
            yield ("contour",), "a contour without an order", "a key 'order', or 'passes'", ""


def _rhythm_findings(exercise: LoadedExercise, model: ExerciseModel) -> Iterator[Finding]:
    """A key of the rhythm that a material with note lengths of its own would pass over."""
    material = exercise.material
    if material is None or material.rhythm is None:
        return
    for name in sorted(model.rhythm.model_fields_set):
        key = name.replace("_", "-")
        if key not in material.rhythm:
            expected = f"no key but {', '.join(sorted(material.rhythm))}: '{material.kind}' has its lengths in its text"
            yield ("rhythm", key), f"'{key}'", expected, "take it out"


def _combination_findings(exercise: LoadedExercise, model: ExerciseModel) -> Iterator[Finding]:
    """A path or a stroke rule that makes no sense with the material."""
    material = exercise.material
    if material is None:
        return
    path, rule = model.neck.path[0], model.strokes.rule_
    if material.paths == frozenset():
        if "path" in model.neck.model_fields_set:
            yield ("neck", "path"), f"'{path}'", f"none: '{material.kind}' places its notes itself", "take it out"
    elif material.paths is not None and path not in material.paths:
        yield ("neck", "path"), f"'{path}'", f"{one_of(sorted(material.paths))} with '{material.kind}'", ""
    meant_for = registered("builder.strokes", "STROKES")[rule].materials
    if material.rules is not None and rule not in material.rules:
        yield ("strokes", "rule"), f"'{rule}'", f"{one_of(sorted(material.rules))} with '{material.kind}'", ""
    elif meant_for is not None and material.kind not in meant_for:
        yield (
            ("strokes", "rule"),
            f"'{rule}'",
            f"a rule for single notes with '{material.kind}'",
            "for example alternate",
        )


def off_the_neck(model: ExerciseModel, instrument: Instrument) -> Iterator[Finding]:
    """Return every string, fret and position that the instrument does not have."""
    neck, last = model.neck, instrument.last_fret
    strings, frets = f"a string from 1 to {instrument.strings}", f"a fret from 0 to {last}, counted from the capo"
    for path, string in _contour_strings(model):
        if string > instrument.strings:
            yield path, str(string), strings, ""
    for index, string in enumerate(neck.shift_on or ()):
        if string > instrument.strings:
            yield ("neck", "shift-on", index), str(string), strings, ""
    for index, string in enumerate(neck.strings or ()):
        if string > instrument.strings:
            yield ("neck", "strings", index), str(string), strings, ""
    if isinstance(neck.position, int) and neck.position > last:
        yield ("neck", "position"), str(neck.position), f"a position from 1 to {last}", ""
    for index, place in enumerate([] if isinstance(neck.start.places, str) else neck.start.places):
        if place.string > instrument.strings:
            yield ("neck", "start", "places", index, "string"), str(place.string), strings, ""
        if place.fret > last:
            yield ("neck", "start", "places", index, "fret"), str(place.fret), frets, ""


def _contour_strings(model: ExerciseModel) -> Iterator[tuple[KeyPath, int]]:
    """Every string a contour names, with the path to it."""
    if model.contour is None:
        return
    for index, string in enumerate(model.contour.strings or ()):
        yield ("contour", "strings", index), string
    for number, each in enumerate(model.contour.passes or ()):
        for index, string in enumerate(each.strings or ()):
            yield ("contour", "passes", number, "strings", index), string
