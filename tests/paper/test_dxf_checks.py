"""Every statement of `dxf_checks` can fail: sound files are spoiled in one place each, and that statement must say so."""

import re

import pytest
from dxf_checks import faults, tags, written
from dxf_works import MANY, style_work

from tapeline.paper.cutter.dxf import papers


@pytest.fixture(scope="module")
def sound() -> list[tuple[int, str]]:
    return whole_file(False)


def whole_file(halved: bool) -> list[tuple[int, str]]:
    (data,) = papers(style_work(MANY), halved=halved).values()
    assert written(tags(data)) == data  # so that nothing but the fault is changed
    assert faults(data) == []
    return tags(data)


# ------------------------------------------------------------------------------------- finding and changing


def spans(pairs) -> list[tuple[int, int]]:
    """(first, after the last) of each run of tags that begins with group 0."""
    starts = [k for k, (code, _) in enumerate(pairs) if code == 0] + [len(pairs)]
    return list(zip(starts, starts[1:], strict=False))


def within(pairs, block: str) -> range:
    """The numbers of the tags of one block."""
    first = next(low for low, high in spans(pairs) if pairs[low] == (0, "BLOCK") and (2, block) in pairs[low:high])
    last = next(low for low, _ in spans(pairs) if low > first and pairs[low] == (0, "ENDBLK"))
    return range(first, last)


def found(pairs, kind: str, layer: int, block: str = "BODY_", words: str = "") -> tuple[int, int]:
    """The first entity of a kind on a layer of a block, perhaps with words in its text."""
    inside = within(pairs, block) if block else range(len(pairs))
    return next(
        (low, high)
        for low, high in spans(pairs)
        if low in inside
        and pairs[low] == (0, kind)
        and (8, str(layer)) in pairs[low:high]
        and any(words in value for _, value in pairs[low:high])
    )


def polyline(pairs, layer: int, block: str = "BODY_") -> tuple[int, int]:
    """A whole polyline, to the end of its SEQEND."""
    low, _ = found(pairs, "POLYLINE", layer, block)
    end = next(high for first, high in spans(pairs) if first > low and pairs[first] == (0, "SEQEND"))
    return low, end


def changed(pairs, span: tuple[int, int], code: int, to) -> None:
    """The first value of a group code within a span; `to` is a text, or a function of the old one."""
    k = next(k for k in range(*span) if pairs[k][0] == code)
    pairs[k] = (code, to(pairs[k][1]) if callable(to) else to)


def without(pairs, span: tuple[int, int]) -> None:
    del pairs[slice(*span)]


def moved(by: float):
    return lambda value: f"{float(value) + by:.4f}"


def replaced(pairs, old: str, new: str) -> None:
    k = next(k for k, (_, value) in enumerate(pairs) if value == old)
    pairs[k] = (pairs[k][0], new)


def no_area(pairs) -> None:
    low, end = polyline(pairs, 1)
    for k in range(low, end):
        if pairs[k][0] == 20:
            pairs[k] = (20, "0.0000")


def crossed(pairs) -> None:
    """Two vertices change places."""
    low, end = polyline(pairs, 1, "LINING")
    xs = [k for k in range(low, end) if pairs[k][0] == 10][1:]
    ys = [k for k in range(low, end) if pairs[k][0] == 20][1:]
    for ks in (xs, ys):
        pairs[ks[1]], pairs[ks[2]] = pairs[ks[2]], pairs[ks[1]]


def repeated_vertex(pairs) -> None:
    low, end = polyline(pairs, 1)
    first, after = next(span for span in spans(pairs) if low < span[0] < end)
    pairs[after:after] = pairs[first:after]


def astray(pairs, span: tuple[int, int]) -> None:
    """Half a tenth of a millimetre across and up, so that a point is off lines that run either way."""
    changed(pairs, span, 10, moved(0.05))
    changed(pairs, span, 20, moved(0.05))


def twin(pairs, span: tuple[int, int]) -> None:
    pairs[span[1] : span[1]] = pairs[slice(*span)]


def no_turn_points(pairs) -> None:
    for low, high in reversed(spans(pairs)):
        if low in within(pairs, "LOOP") and pairs[low] == (0, "POINT") and (8, "2") in pairs[low:high]:
            without(pairs, (low, high))


def turn_point_on_both_layers(pairs) -> None:
    low, high = found(pairs, "POINT", 2)
    pairs[high:high] = [(8, "3") if pair == (8, "2") else pair for pair in pairs[low:high]]


def layout_block(pairs) -> None:
    first = next(low for low, _ in spans(pairs) if pairs[low] == (0, "BLOCK"))
    pairs[first:first] = [(0, "BLOCK"), (8, "1"), (2, "$MODEL_SPACE"), (70, "0"), (0, "ENDBLK"), (8, "1")]


def style_text_elsewhere(pairs) -> None:
    k = next(k for k, (_, value) in enumerate(pairs) if value == "Units: METRIC")
    at = max(j for j in range(k) if pairs[j][0] == 8)
    pairs[at] = (8, "15")


def end_of_a_run_unmarked(pairs) -> None:
    """The turn point at the end of a sew line becomes a curve point."""
    low, end = polyline(pairs, 14, "LOOP")
    x, y = ([value for code, value in pairs[low:end] if code == axis][1] for axis in (10, 20))
    for first, high in spans(pairs):
        part = pairs[first:high]
        if first in within(pairs, "LOOP") and part[0] == (0, "POINT") and (10, x) in part and (20, y) in part:
            changed(pairs, (first, high), 8, "3")


SPOILED = [
    ("T01", "the end is cut off", lambda p: p.pop()),
    ("T02", "a letter with an accent", lambda p: replaced(p, "Units: METRIC", "Units: MÉTRIC")),
    ("T03", "a section is not ended", lambda p: p.remove((0, "ENDSEC"))),
    ("T04", "a younger version", lambda p: replaced(p, "AC1009", "AC1015")),
    ("T05", "an entity of release 14", lambda p: changed(p, polyline(p, 1), 0, "LWPOLYLINE")),
    ("T06", "a layout among the blocks", layout_block),
    ("T07", "two blocks of one name", lambda p: changed(p, (within(p, "LOOP")[0], within(p, "LOOP")[-1]), 2, "LINING")),
    ("T08", "a piece is not inserted", lambda p: without(p, found(p, "INSERT", 1, "", "LOOP"))),
    ("T09", "an insert of no block", lambda p: changed(p, found(p, "INSERT", 1, "", "LOOP"), 2, "LOOPS")),
    ("T10", "no units", lambda p: without(p, found(p, "TEXT", 1, "", "Units"))),
    ("T10", "no version line", lambda p: without(p, found(p, "TEXT", 1, "", "Version"))),
    ("T11", "units of no known name", lambda p: replaced(p, "Units: METRIC", "Units: MM")),
    ("T12", "style text on the annotation layer", style_text_elsewhere),
    ("T13", "a layer beyond the table", lambda p: changed(p, found(p, "POINT", 4), 8, "22")),
    ("T20", "no boundary", lambda p: without(p, polyline(p, 1))),
    ("T20", "two boundaries", lambda p: twin(p, polyline(p, 1))),
    ("T21", "an open boundary", lambda p: changed(p, polyline(p, 1), 70, "0")),
    ("T21", "a boundary without area", no_area),
    ("T22", "a repeated vertex", repeated_vertex),
    ("T23", "no turn points", no_turn_points),
    ("T24", "a moved turn point", lambda p: astray(p, found(p, "POINT", 2))),
    ("T24", "a moved curve point", lambda p: astray(p, found(p, "POINT", 3))),
    ("T25", "a point on both layers", turn_point_on_both_layers),
    ("T26", "a notch beside the boundary", lambda p: changed(p, found(p, "POINT", 4), 10, moved(-2.0))),
    ("T27", "no grain line", lambda p: without(p, found(p, "LINE", 7))),
    ("T27", "the grain line on the layer of internal lines", lambda p: changed(p, found(p, "LINE", 7), 8, "8")),
    ("T29", "no quantity", lambda p: without(p, found(p, "TEXT", 1, "BODY_", "Quantity"))),
    ("T30", "a blank in a block's name", lambda p: [replaced(p, "LOOP", "BELT LOOP") for _ in range(3)]),
    ("T31", "an exponent", lambda p: changed(p, found(p, "POINT", 2), 10, lambda value: f"{float(value):.4e}")),
    ("T31", "no number", lambda p: changed(p, found(p, "INSERT", 1, ""), 10, "nan")),
    ("T35", "a test square of 99 mm", lambda p: [changed(p, found(p, "POLYLINE", 1, "TEST_SQUARE"), 0, "POLYLINE"), _shrunk(p)]),
    ("T35", "no test square", lambda p: [replaced(p, "TEST_SQUARE", "SQUARE") for _ in range(3)]),
    ("U01", "a piece of another size", lambda p: changed(p, found(p, "TEXT", 1, "BODY_", "Size:"), 1, "Size: 42")),
    ("U02", "a drill hole on the layer of sew lines", lambda p: changed(p, found(p, "POINT", 13), 8, "14")),
    ("U02", "annotation on the layer of turn points", lambda p: changed(p, found(p, "TEXT", 15), 8, "2")),
    ("U03", "a boundary that crosses itself", crossed),
    ("U04", "an unmarked vertex", lambda p: without(p, found(p, "POINT", 3))),
    ("U05", "an end of a run that is marked as of a curve", end_of_a_run_unmarked),
    ("U06", "a grain line out of the piece", lambda p: changed(p, found(p, "LINE", 7), 21, moved(-900.0))),
    ("U07", "a drill hole outside the piece", lambda p: changed(p, found(p, "POINT", 13), 10, moved(500.0))),
]


def _shrunk(pairs) -> None:
    low, end = polyline(pairs, 1, "TEST_SQUARE")
    for k in range(low, end):
        if pairs[k][0] == 10 and float(pairs[k][1]) == 100.0:
            pairs[k] = (10, "99.0000")


@pytest.mark.parametrize("number, words, spoil", SPOILED, ids=[f"{number} {words}" for number, words, _ in SPOILED])
def test_a_spoiled_file_is_caught(sound, number, words, spoil):
    pairs = list(sound)
    spoil(pairs)
    data = "".join(f"{code:3d}\r\n{value}\r\n" for code, value in pairs).encode("latin-1")
    told = faults(data)
    assert any(fault.startswith(number) for fault in told), told


def test_a_mirror_line_off_the_boundary_is_caught():
    pairs = whole_file(True)
    changed(pairs, found(pairs, "LINE", 6), 21, moved(4.0))
    assert any(fault.startswith("T28") for fault in faults(written(pairs)))


def test_every_statement_has_its_spoiled_file():
    from pathlib import Path

    import dxf_checks

    stated = set(re.findall(r'"([TU]\d\d)"', Path(dxf_checks.__file__).read_text(encoding="utf-8")))
    assert stated == {number for number, _, _ in SPOILED} | {"T28"}
