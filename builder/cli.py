"""Commands and options; no logic.

In, Out:  command-line arguments; an exit code: 0 good, 1 our bug, 2 the spec is wrong, 3 a page could not be
          engraved, 4 the machine
"""

from __future__ import annotations

import argparse
import atexit
import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from builder import __version__, console
from builder.errors import BuilderError, EngravingError, SpecError

if TYPE_CHECKING:
    from builder.request import BuildRequest
    from builder.summary import Outcome


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit code; our own bugs leave as a traceback with exit code 1."""
    options = _parser().parse_args(arguments)
    gc.disable()  # a command is short and makes few cycles: looking for them takes a tenth of its time
    atexit.register(
        gc.freeze
    )  # nor at the end: looking through all that is about to go takes another tenth of a second
    try:
        return int(options.run(options))
    except BuilderError as error:
        _report(error, getattr(options, "json", False))
        return error.exit_code
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        console.complain("etudebook: stopped")
        return 130
    finally:
        gc.enable()


def _report(error: BuilderError, as_json: bool) -> None:
    if as_json:
        from builder.outputs.study_json import document

        problems = error.problems if isinstance(error, SpecError | EngravingError) else ()
        console.say_json(document((), (), problems))
        if problems:
            return
    console.complain_of(error)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="etudebook",
        description="Turn short YAML exercise specs into a printable, graded book of guitar technique etudes.",
    )
    parser.add_argument("--version", action="version", version=f"etudebook {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    _add_build(commands)
    _add_check(commands)
    _add_studies(commands)
    _add_new(commands)
    _add_list(commands)
    _add_tracks(commands)
    return parser


def _add_build(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser(
        "build", help="make the book", description="Make the book: PDF, JSON, report, sources."
    )
    command.add_argument("book", metavar="BOOK", type=Path, help="the book's YAML file")
    command.add_argument("--out", metavar="DIR", type=Path, help="where to put it (default: out/ beside the book)")
    command.add_argument(
        "--only", metavar="ID", nargs="+", action="extend", default=[], help="only these exercises or studies"
    )
    command.add_argument("--pages-only", action="store_true", help="only the studies' pages, nothing around them")
    command.add_argument(
        "--jobs", metavar="N", type=_jobs, default=os.cpu_count() or 1, help="engrave N batches at once"
    )
    command.add_argument("--strict", action="store_true", help="treat warnings as problems")
    command.add_argument(
        "--student", metavar="NAME", nargs="+", action="extend", default=[], help="the editions of these students"
    )
    command.add_argument("--all-students", action="store_true", help="the edition of every student")
    command.add_argument("--layout", metavar="NAME", help="print it in this layout, into files named after it")
    command.add_argument(
        "--trust-templates", metavar="DIR", type=Path, help="page templates in place of ours; they are run as code"
    )
    command.add_argument("--syllabus", action="store_true", help="also the levels as a PDF of their own")
    command.add_argument("--teacher", action="store_true", help="also a teacher's edition: a page for each exercise")
    command.add_argument("--audio", action="store_true", help="also practice tracks as sound")
    command.add_argument("--soundfont", metavar="FILE", type=Path, help="sounds for --audio (default: our own strings)")
    command.add_argument("--exchange", action="store_true", help="also MusicXML of every study")
    command.add_argument("--json", action="store_true", help="print the studies as JSON and nothing else")
    command.set_defaults(run=_build)


def _add_check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser(
        "check", help="check a book without engraving it", description="Report every problem and warning at once."
    )
    command.add_argument("book", metavar="BOOK", type=Path, help="the book's YAML file")
    command.add_argument("--strict", action="store_true", help="treat warnings as problems")
    command.add_argument("--layout", metavar="NAME", help="check it in this layout")
    command.add_argument("--pages", action="store_true", help="also read the finished PDF back")
    command.add_argument("--out", metavar="DIR", type=Path, help="where the PDF is (default: out/ beside the book)")
    command.add_argument("--json", action="store_true", help="print the studies as JSON and nothing else")
    command.set_defaults(run=_check)


def _add_studies(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser(
        "studies", help="show what one exercise gives", description="Show the studies of one exercise."
    )
    command.add_argument("exercise", metavar="EXERCISE", type=Path, help="the exercise's YAML file")
    command.add_argument(
        "--instrument", metavar="NAME", help="the instrument, where the exercise names none (default: guitar)"
    )
    command.add_argument("--hand", metavar="HAND", help="small, medium, large, or a comfortable reach in mm")
    command.add_argument("--json", action="store_true", help="print the studies as JSON and nothing else")
    command.set_defaults(run=_studies)


def _add_new(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser("new", help="begin a book", description="Write a small working book to start from.")
    command.add_argument("folder", metavar="DIR", type=Path, help="a folder that does not exist yet, or is empty")
    command.set_defaults(run=_new)


def _add_list(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser("list", help="show what a spec may say", description="Show what a spec may say.")
    command.add_argument("what", choices=("materials", "instruments", "cues", "skills", "layouts", "schema"))
    command.set_defaults(run=_list)


def _add_tracks(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    command = commands.add_parser(
        "tracks",
        help="make the folder of practice tracks for the web",
        description="Make a folder ready to upload: a page, sound and music for every study.",
    )
    command.add_argument("book", metavar="BOOK", type=Path, help="the book's YAML file")
    command.add_argument("--out", metavar="DIR", type=Path, help="where to put it (default: out/site/ beside the book)")
    command.add_argument(
        "--only", metavar="ID", nargs="+", action="extend", default=[], help="only these exercises or studies"
    )
    command.add_argument(
        "--jobs", metavar="N", type=_jobs, default=os.cpu_count() or 1, help="work on N studies at once"
    )
    command.add_argument("--soundfont", metavar="FILE", type=Path, help="sounds (default: our own strings)")
    command.set_defaults(run=_tracks)


def _jobs(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 64:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 1 to 64")
    return int(text)


def _build(options: argparse.Namespace) -> int:
    from builder.request import BuildRequest
    from builder.unchanged import standing

    request = BuildRequest(
        book=options.book,
        out=options.out,
        only=tuple(options.only),
        pages_only=options.pages_only,
        jobs=options.jobs,
        strict=options.strict,
        students=() if options.all_students else tuple(options.student) or None,
        audio=options.audio,
        soundfont=options.soundfont,
        exchange=options.exchange,
        syllabus=options.syllabus,
        teacher=options.teacher,
        layout=options.layout,
        templates=options.trust_templates,
    )
    built = standing(request) or _built(request, options.json)
    if options.json:
        console.say_json(built.document)
        console.show_faults(built.summary)
    else:
        console.show_build(built.summary)
    return 0


def _built(request: BuildRequest, quiet: bool) -> Outcome:
    from builder.pipeline import build  # half a second, which a book that stands finished does without

    with console.progress("engraving", "tracks", quiet=quiet) as (engraving, tracks):
        return build(request, engraving, tracks)


def _tracks(options: argparse.Namespace) -> int:
    from builder.pipeline import make_tracks
    from builder.request import BuildRequest

    request = BuildRequest(
        book=options.book,
        out=options.out,
        only=tuple(options.only),
        pages_only=False,
        jobs=options.jobs,
        strict=False,
        audio=True,
        soundfont=options.soundfont,
        exchange=True,
    )
    with console.progress("engraving", "tracks", quiet=False) as (engraving, tracks):
        made = make_tracks(request, engraving, tracks)
    console.show_tracks(made.summary)
    return 0


def _check(options: argparse.Namespace) -> int:
    from builder.pipeline import check, check_pages

    checked = check(options.book, options.strict, options.layout)
    if options.pages:
        check_pages(options.book, options.out, options.layout)
    if options.json:
        console.say_json(checked.document)
    else:
        console.show_check(checked.summary)
    return 0


def _studies(options: argparse.Namespace) -> int:
    from builder.pipeline import studies_of

    checked = studies_of(options.exercise, options.instrument, options.hand)
    if options.json:
        console.say_json(checked.document)
    else:
        console.show_studies(checked.summary)
    return 0


def _new(options: argparse.Namespace) -> int:
    from builder.outputs.new_book import write_new_book

    book = write_new_book(options.folder)
    console.say(f"A small book to start from: {book}")
    console.say(f"Next: etudebook build {book}")
    return 0


def _list(options: argparse.Namespace) -> int:
    from builder.catalogue import listing
    from builder.spec import load_library

    console.show_listing(listing(options.what, load_library()))
    return 0
