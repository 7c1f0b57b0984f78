"""YAML text as the reader takes it: what a plain scalar means, where keys stand, what is refused whole."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import Location
from builder.spec import yaml_reader
from builder.spec.yaml_reader import MAX_BYTES, read_yaml


def only_problem(raw: bytes) -> str:
    (complaint,) = read_yaml(raw, "pier.yaml").complaints
    return str(complaint.problem)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        *(("true", True), ("false", False), ("null", None), ("~", None), ("", None)),
        *(
            (word, word)
            for word in ("yes", "no", "on", "off", "y", "True", "FALSE", "Null", "6:8", "1_000", "0o7", "0x1F")
        ),
        *((word, word) for word in ("2026-11-25", "1e5", ".inf", ".nan", "1/8", "F#4", "D minor", "+", "-x")),
        *(("0", 0), ("-3", -3), ("+7", 7), ("010", 10), ("1.5", 1.5), (".5", 0.5), ("2.", 2.0), ("-0.25", -0.25)),
        *(("'true'", "true"), ('"5"', "5"), ("'~'", "~"), ('""', "")),
    ],
)
def test_a_plain_scalar_means_what_it_looks_like(text, value):
    document = read_yaml(f"key: {text}\n".encode(), "pier.yaml")
    assert document.readable
    assert not document.complaints
    assert document.data == {"key": value}
    assert type(document.data["key"]) is type(value)


def test_every_key_and_item_has_its_place():
    text = "title: Pier\nneck:\n  path: position\n  strings: [5,\n    3]\nlist:\n- {a: 1}\n"
    keys = read_yaml(text.encode(), "pier.yaml").places.keys
    assert {path: (where.line, where.column) for path, where in keys.items()} == {
        (): (1, 1),
        ("title",): (1, 1),
        ("neck",): (2, 1),
        ("neck", "path"): (3, 3),
        ("neck", "strings"): (4, 3),
        ("neck", "strings", 0): (4, 13),
        ("neck", "strings", 1): (5, 5),
        ("list",): (6, 1),
        ("list", 0): (7, 3),
        ("list", 0, "a"): (7, 4),
    }


def test_columns_count_characters_not_bytes():
    places = read_yaml("{é: 1, ü: 2}".encode(), "pier.yaml").places
    assert places.where("ü") == Location("pier.yaml", 1, 8)


def test_a_missing_key_is_placed_at_its_mapping():
    places = read_yaml(b"title: Pier\nneck:\n  path: position\n", "pier.yaml").places
    assert places.where("neck", "start", "note") == Location("pier.yaml", 2, 1)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_of_every_system_count_alike(end):
    document = read_yaml(f"title: Pier{end}level: 3{end}".encode(), "pier.yaml")
    assert document.data == {"title": "Pier", "level": 3}
    assert document.places.where("level").line == 2


def test_a_byte_order_mark_is_not_part_of_the_first_key():
    document = read_yaml(b"\xef\xbb\xbftitle: Pier", "pier.yaml")
    assert document.data == {"title": "Pier"}
    assert document.places.where("title") == Location("pier.yaml", 1, 1)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32", "latin-1"])
def test_other_encodings_are_refused(encoding):
    document = read_yaml("title: Flûte\n".encode(encoding), "pier.yaml")
    assert document.complaints
    assert not document.readable


def test_a_byte_that_is_not_utf8_is_placed():
    assert only_problem(b"title: Pier\naim: a\xe9b\n").startswith(
        "pier.yaml:2:7: found the byte 0xE9, which is not UTF-8"
    )


def test_a_file_that_is_too_large_is_not_parsed():
    assert "at most 1000000 bytes" in only_problem(b"a: b\n" * (MAX_BYTES // 5 + 1))


def test_not_more_complaints_of_a_kind_than_help():
    assert len(read_yaml(b"\ta: 1\n" * 100, "pier.yaml").complaints) == yaml_reader.MAX_COMPLAINTS
    assert len(read_yaml("\u200b".encode() * 100, "pier.yaml").complaints) == yaml_reader.MAX_COMPLAINTS


def test_a_refused_value_leaves_the_rest_readable():
    document = read_yaml(b"title: *name\nlevel: 3\n", "pier.yaml")
    assert document.readable
    assert document.data == {"title": None, "level": 3}
    assert [complaint.path for complaint in document.complaints] == [("title",)]


def test_a_broken_file_gives_no_half_of_its_data():
    document = read_yaml(b"title: Pier\nlevel: [3\n", "pier.yaml")
    assert document.data == {}
    assert not document.readable


TEXTS = [
    "title: Pier\nneck: {path: position, strings: [1, 2]}\n",
    "a: 1\na: 2\n",
    "a: &x 1\nb: *x\nc: !!str 3\n<<: {a: 1}\n",
    "a: [1, 2\nb: 3\n",
    "a: b: c\n",
    "- 1\n",
    "",
    "a: 'x",
    "? [a]\n: b\n",
    "a: 1\n---\nb: 2\n",
    "a: " + "[" * 2000 + "]" * 2000,
    "a: " + "{a: " * 30 + "1" + "}" * 30,
    "a: " + "9" * 5000,
]


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_the_slower_loader_reads_the_same(text, monkeypatch):
    fast = read_yaml(text.encode(), "pier.yaml")
    monkeypatch.setattr(yaml_reader, "_LOADER", yaml.SafeLoader)
    slow = read_yaml(text.encode(), "pier.yaml")
    assert (fast.readable, fast.data) == (slow.readable, slow.data)
    assert [each.path for each in fast.complaints] == [each.path for each in slow.complaints]


characters = st.characters(min_codepoint=33, max_codepoint=0x17E, exclude_categories=("Cc", "Cf"))
words = st.from_regex("k[a-z]{1,8}", fullmatch=True)
values = st.recursive(
    st.integers(-999, 999) | st.text(alphabet=characters, max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3),
    max_leaves=10,
)


@given(st.dictionaries(words, values, min_size=1))
def test_what_is_written_in_json_style_comes_back(data):
    text = yaml.dump(data, default_style='"', allow_unicode=True, Dumper=_QuotingDumper)
    document = read_yaml(text.encode(), "pier.yaml")
    assert document.data == data
    assert not document.complaints


class _QuotingDumper(yaml.SafeDumper):
    """Quotes text only, and names nothing: no anchors, no tags."""

    def ignore_aliases(self, data):
        return True


_QuotingDumper.add_representer(
    int, lambda dumper, data: dumper.represent_scalar("tag:yaml.org,2002:int", str(data), style="")
)
