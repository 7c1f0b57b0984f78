"""A page's bytes depend on nothing but the page."""

from __future__ import annotations

from builder.engraving.page_bytes import same_each_time


def test_dates_and_identifiers_are_overwritten_in_place():
    page = b"/CreationDate(D:20260102030405Z00'00') uuid:9579ee8b-20ea xmp"
    assert same_each_time(page) == b"/CreationDate(D:11111111111111Z11'11') uuid:11111111-1111 xmp"


def test_identifiers_are_replaced_however_they_are_written():
    plain = same_each_time(b"/ID [<ABCDEF12><ABCDEF12>]")
    assert (
        same_each_time(rb"/ID [(B;\013\)x)(B;\013\)x)]") == plain == b"/ID [<" + 32 * b"1" + b"><" + 32 * b"1" + b">]"
    )


def document(fonts: bytes, *objects: bytes) -> bytes:
    """A PDF of a catalogue, a page of *fonts* and further objects, with its table."""
    bodies = [b"<</Type/Catalog/Pages 2 0 R>>", b"<</Font 3 0 R>>", fonts, *objects]
    text, offsets = bytearray(b"%PDF-1.4\n"), []
    for number, body in enumerate(bodies, start=1):
        offsets.append(len(text))
        text += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    at = len(text)
    text += b"xref\n0 %d\n%strailer\n<< /Size %d /Root 1 0 R >>\n" % (len(bodies) + 1, table, len(bodies) + 1)
    return bytes(text) + b"startxref\n%d\n%%%%EOF\n" % at


def test_fonts_are_listed_and_numbered_in_the_order_of_their_names():
    one = document(b"<</R8\n5 0 R/R9\n4 0 R>>", b"<</BaseFont/Nine>>", b"<</BaseFont/Eight>>")
    other = document(b"<</R9\n5 0 R/R8\n4 0 R>>", b"<</BaseFont/Eight>>", b"<</BaseFont/Nine>>")
    assert same_each_time(one) == same_each_time(other)
    assert b"<</R8\n4 0 R/R9\n5 0 R>>" in same_each_time(one)
    assert same_each_time(same_each_time(one)) == same_each_time(one)


def test_another_page_stays_another_page():
    eight = document(b"<</R8\n4 0 R>>", b"<</BaseFont/Eight>>")
    nine = document(b"<</R8\n4 0 R>>", b"<</BaseFont/Nine>>")
    assert same_each_time(eight) != same_each_time(nine)
