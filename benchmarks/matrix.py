"""Print a book on every paper, in every mode and language, and read each one back.

    python benchmarks/matrix.py [VARIANT...] [--book books/harbour-lane/book.yaml] [--only ferry-steps] [--jobs 2]

In, Out:  a book and the names of variants (all of them); a line for each: pages, seconds, what is wrong with its pages;
          a last line that counts both
Units:    seconds of the clock

Each variant is the book with other `paper`, `print` and `language` keys, built from a copy of its folder with one store
of pages for all, so that a second run costs little. The exit code is 1 if any page of any variant has a fault.
"""

from __future__ import annotations

import argparse
import re
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from builder.errors import BuilderError
from builder.pipeline import build
from builder.request import BuildRequest

_SHOWN = 5  # findings of a variant that are printed; our own choice: more of them are mostly the same again


@dataclass(frozen=True, slots=True)
class Variant:
    """The keys that take the place of the book's own, as YAML text by key."""

    name: str
    keys: dict[str, str]


VARIANTS = (
    Variant("a4", {"paper": "a4"}),
    Variant("two-sided", {"paper": "a4", "print": "{sides: two, bleed: 3, thumb-index: true}"}),
    Variant("a5", {"paper": "a5"}),
    Variant("letter", {"paper": "letter"}),
    Variant("large-print", {"paper": "a4", "print": "{large-print: true}"}),
    Variant("low-ink", {"paper": "a4", "print": "{low-ink: true}"}),
    Variant("staff-only", {"paper": "a4", "print": "{notation: staff}"}),
    Variant("tab-only", {"paper": "a4", "print": "{notation: tab}"}),
    Variant("left-handed", {"paper": "a4", "print": "{left-handed: true}"}),
    Variant("one-place", {"paper": "a4", "print": "{places: one}"}),
    Variant("en", {"language": "en"}),
    Variant("de", {"language": "de"}),
    Variant("es", {"language": "es"}),
    Variant("fr", {"language": "fr"}),
    Variant("a5-de", {"paper": "a5", "language": "de"}),
    Variant("a5-es", {"paper": "a5", "language": "es"}),
    Variant("a5-fr", {"paper": "a5", "language": "fr"}),
    Variant("a5-left-handed", {"paper": "a5", "print": "{sides: two, left-handed: true}"}),
)


@dataclass(frozen=True, slots=True)
class Tried:
    """What became of a variant: its line of the table, and what is wrong."""

    line: str
    findings: tuple[str, ...]


def main() -> None:
    """Build the variants, print the table, say with the exit code whether all are good."""
    options = _options()
    known = {variant.name: variant for variant in VARIANTS}
    names = options.variants or tuple(known)
    print(f"{'variant':<14} {'pages':>5} {'seconds':>8}  findings")
    findings = sum(_printed(_tried(known[name], options)) for name in names)
    print(f"{len(names)} {'variant' if len(names) == 1 else 'variants'}, {findings} findings")
    sys.exit(1 if findings else 0)


def _printed(tried: Tried) -> int:
    """Print what became of a variant; return how many findings there are."""
    print(tried.line, flush=True)
    more = [f"… and {len(tried.findings) - _SHOWN} more"] if len(tried.findings) > _SHOWN else []
    for line in (*tried.findings[:_SHOWN], *more):
        print(f"    {line}", flush=True)
    return len(tried.findings)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="A book on every paper, in every mode and language, read back.")
    names = [variant.name for variant in VARIANTS]
    parser.add_argument("variants", metavar="VARIANT", nargs="*", help=", ".join(names))
    parser.add_argument("--book", type=Path, default=Path("books/harbour-lane/book.yaml"), help="the book's YAML file")
    parser.add_argument("--only", metavar="ID", nargs="+", default=[], help="only these exercises or studies")
    parser.add_argument("--jobs", type=int, default=2, help="runs at a time (2)")
    parser.add_argument("--keep", metavar="DIR", type=Path, help="keep the PDFs here, one of each variant")
    options = parser.parse_args()
    unknown = sorted({*options.variants} - {*names})
    if unknown:
        parser.error(f"{', '.join(unknown)}: not one of {', '.join(names)}")
    return options


def _tried(variant: Variant, options: argparse.Namespace) -> Tried:
    """Build one variant in a folder of its own."""
    with tempfile.TemporaryDirectory() as scratch:
        book = _varied(options.book, Path(scratch) / options.book.resolve().parent.name, variant)
        request = BuildRequest(book, Path(scratch) / "out", tuple(options.only), False, options.jobs, False)
        try:
            summary = build(request, _quiet, _quiet).summary
        except BuilderError as error:
            return Tried(f"{variant.name:<14} {'-':>5} {'-':>8}  not built", tuple(str(error).splitlines()))
        if options.keep:
            options.keep.mkdir(parents=True, exist_ok=True)
            shutil.copy(summary.files[0], options.keep / f"{variant.name}.pdf")
    told = len(summary.faults) or "none"
    return Tried(f"{variant.name:<14} {summary.pages:>5} {summary.seconds:>8.1f}  {told}", tuple(summary.faults))


def _quiet(done: int, total: int) -> None:
    """Show no progress: the table is all there is to see."""


def _varied(book: Path, folder: Path, variant: Variant) -> Path:
    """Copy the book's folder and put the variant's keys in place of the book's own."""
    shutil.copytree(book.parent, folder, ignore=shutil.ignore_patterns("out"))
    text = book.read_text(encoding="utf-8")
    for key in variant.keys:
        # A key of the book begins its line; what belongs to it is on the same line or indented under it.
        text = re.sub(rf"(?m)^{key}:.*\n(?:[ \t]+.*\n)*", "", text)
    copy = folder / book.name
    copy.write_text(
        text.rstrip("\n") + "\n" + "".join(f"{k}: {v}\n" for k, v in variant.keys.items()), encoding="utf-8"
    )
    return copy


if __name__ == "__main__":
    main()
