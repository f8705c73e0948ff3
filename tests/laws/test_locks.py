"""The law of locks: what a changed rule moves is told, all of it at every size, and nothing else.

A style of five pieces is locked over a table of sizes and one rule is changed.  What the comparison tells is set beside two
other accounts: both texts drafted and every place, length and ledger subtracted, which knows nothing of locks; and, for each
change, what a cutter would say moves, written out by hand.  The style and its sizes are invented.
"""

from pathlib import Path

import numpy as np
import pytest

from tapeline.bodies.sizes import read_sizes
from tapeline.drafting.landmarks import landmarks
from tapeline.finishing.whole import drafted_whole
from tapeline.locking.causes import PROGRAM
from tapeline.locking.comparing import LIMIT, compared, present_lock
from tapeline.locking.edges import edge_changes
from tapeline.locking.lock import Lock, write_lock
from tapeline.locking.reading import read_lock
from tapeline.locking.texts import read_style
from tapeline.source.text import Source, Span
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLE = """language 1
style yoked "Yoked skirt" version 1.0
    "Two yokes, two panels and a band."
use widths
measure waist, hip, waist_to_hip
choose fall 50 cm from 30 cm to 80 cm "panels, yoke to hem"
waist_part = quarter of (waist + 1 cm)
hip_part   = quarter_of_girth of (hip)
deep       = waist_to_hip * 1/2
dart_depth = waist_to_hip - 12 cm
flare      = 3 cm when hip more than 100 cm otherwise 2 cm
piece front_yoke "Front yoke"
    cut 1 on fold at centre
    point A start
    point B A across waist_part
    point C A down deep
    point D B down deep, go out 1.5 cm
    point E halfway A to B
    line  centre A to C
    line  top    A to B
    line  side   B to D
    curve foot   C to D, leaving square to centre
    outline centre, top, side, foot
piece front "Front"
    cut 1 on fold at centre
    point A start
    point B A across distance from front_yoke.C to front_yoke.D
    point C A down fall
    point D B down fall, go out flare
    line  centre A to C
    line  top    A to B
    curve side   B to D, bowed 5 mm
    line  hem    C to D
    outline centre, top, side, hem
    notch on side at 10 cm from B
piece back_yoke "Back yoke"
    cut 2
    point A start
    point B A across waist_part + 2 cm
    point C A down deep
    point D B down deep, go out 1.5 cm
    line  centre A to C
    line  top    A to B
    line  side   B to D
    line  foot   C to D
    outline centre, top, side, foot
    dart on top at half
        intake 2 cm
        point  dart_depth long
piece back "Back"
    cut 2
    point A start
    point B A across hip_part
    point C A down fall
    point D B down fall
    line  centre A to C
    line  top    A to B
    line  side   B to D
    line  hem    C to D
    outline centre, top, side, hem
    when hip more than 100 cm
        point V C up 20 cm
        mark "vent" V to C
piece band "Band"
    cut 1
    point A start
    point B A across waist + 4 cm
    point C A down 6 cm
    point D B down 6 cm
    line  one   A to C
    line  upper A to B
    line  other B to D
    line  lower C to D
    outline one, upper, other, lower
sew front_yoke.side to back_yoke.side
sew front_yoke.foot to front.top
corner meant at front_yoke.B and front_yoke.D
allow
    hem     4 cm turned up
    others  1 cm
"""
LIBRARY = """language 1
library widths "Widths"
rule quarter_of_girth (girth length) gives (girth + ease) / 4
ease = 4 cm
unused = 1 cm
"""
SIZES = ("34", "38", "42", "46")
MEASURES = {"waist": (640.0, 720.0, 800.0, 890.0), "hip": (900.0, 970.0, 1050.0, 1135.0), "waist_to_hip": (190.0, 195.0, 205.0, 212.5)}
LARGE = {"42", "46"}  # hip over 100 cm


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("house")
    (folder / "widths.style").write_text(LIBRARY)
    return folder


def reading(text, folder, library=LIBRARY):
    return read_style(Source("yoked.style", text), FolderWorld(folder), {("library", "widths"): Source("widths.style", library)})


@pytest.fixture(scope="module")
def locked(folder):
    """The lock, read back from its text, so that no more than the text is known."""
    asked = Lock("", "", "yoked.style", "cm", {}, {}, SIZES, MEASURES)
    lock, found = present_lock(asked, *reading(STYLE, folder)[:2])
    assert not lock.fails and not found
    back, wrong = read_lock(Source("yoked.locked", write_lock(lock)))
    assert not wrong
    return back


def change(before, after, text=STYLE, nth=0):
    """The text with one passage changed: the nth of its places."""
    parts = text.split(before)
    assert len(parts) > nth + 1, before
    return before.join(parts[: nth + 1]) + after + before.join(parts[nth + 1 :])


def against(locked, text, folder):
    world = FolderWorld(folder)
    done, found = compared(locked, Span(Source("yoked.locked", ""), 0, 0), read_style(Source("yoked.style", text), world), world)
    assert done is not None, found
    return done


def told(done, sort):
    """{(piece, name): sizes} of the rows of one sort that have moved."""
    return {(move.key.piece, move.key.name): {SIZES[number] for number in move.at} for move in done.moves if move.key.sort == sort}


# ------------------------------------------------------------------------------------- by another way: both texts drafted


def drafts(style, measures, names):
    """{(what, piece, name, size): place or figure} straight from the draft, unrounded."""
    found = {}
    for whole in drafted_whole(style, {name: np.array(values) for name, values in measures.items()}):
        sizes = [names[number] for number in whole.index]
        pattern, ledgers = whole.draft.pattern, whole.draft.ledgers

        def put(what, piece, name, values, sizes=sizes):
            found.update({(what, piece, name, size): np.atleast_1d(value) for size, value in zip(sizes, values, strict=True)})

        for piece in pattern.pieces:
            for name, places in landmarks(piece).items():
                put("place", piece.name, name, places)
            for edge in piece.edges:
                put("length", piece.name, edge.name, edge.closed_length())
        for number, row in enumerate(ledgers.seams):
            put("seam", "", f"{number} first side", row.length_one)
            put("seam", "", f"{number} second side", row.length_other)
    return found


def subtracted(before, after, what):
    """{(piece, name): sizes} where two drafts differ by more than the limit; none may be in doubt."""
    found = {}
    for key in before.keys() | after.keys():
        if key[0] != what:
            continue
        by = np.hypot(*np.pad(after[key] - before[key], (0, 1))[:2]) if key in before and key in after else np.inf
        assert not 0.5 * LIMIT < by < 2 * LIMIT, f"{key} moves by {by} mm: the case is too near the limit"
        if by > LIMIT:
            found.setdefault(key[1:3], set()).add(key[3])
    return found


ALL = set(SIZES)


def named(piece, *names, sizes=ALL):
    return {(piece, name): set(sizes) for name in names}


# what is changed, in which words, and where a cutter would look for it
CASES = {
    "the hem of one piece": (change("down fall", "down fall + 2 mm", nth=3), named("back", "D", "hem/side", "side/hem")),
    "the band": (
        change("across waist + 4 cm", "across waist + 4.2 cm"),
        named("band", "B", "D", "upper/other", "other/lower", "lower/other", "other/upper"),
    ),
    "a yoke that is measured by its panel": (
        change("go out 1.5 cm", "go out 1.7 cm"),
        named("front_yoke", "D") | named("front", "B", "D", "side notch 1"),
    ),
    "the intake of a dart": (change("intake 2 cm", "intake 2.2 cm"), named("back_yoke", "dart_near", "dart_far")),
    "the length of a dart, through a quantity": (
        change("waist_to_hip - 12 cm", "waist_to_hip - 12.2 cm"),
        named("back_yoke", "dart_point"),
    ),
    "what the larger sizes alone have": (
        change("3 cm when", "3.2 cm when"),
        named("front", "D", "side notch 1", sizes=LARGE),
    ),  # the notch lies on the side, which leans the more
    "a mark that the larger sizes alone have": (change("C up 20 cm", "C up 20.2 cm"), named("back", "V", "vent start", sizes=LARGE)),
    "a bow": (change("bowed 5 mm", "bowed 7 mm"), named("front", "side notch 1")),
    "a point that nothing rests on": (change("halfway A to B", "halfway A to B, drop 2 mm"), named("front_yoke", "E")),
    "an allowance": (change("hem     4 cm", "hem     4.2 cm"), {}),
    "a comment": (change("deep       =", "-- of the yoke\ndeep  ="), {}),
}


def without_corners(rows):
    """Corners have their points' names beside their own: those are told too, and left to the subtraction."""
    return {key: sizes for key, sizes in rows.items() if "/" not in key[1]}


@pytest.fixture(scope="module")
def compared_case(locked, folder):
    """What is told of each case, worked out once."""
    kept = {}

    def get(case):
        if case not in kept:
            kept[case] = against(locked, CASES[case][0], folder)
        return kept[case]

    return get


@pytest.fixture(scope="module")
def before(folder):
    return drafts(reading(STYLE, folder).style, MEASURES, SIZES)


@pytest.mark.parametrize("case", CASES)
def test_what_moves_is_told_at_every_size_and_nothing_else(case, compared_case, before, folder):
    text, expected = CASES[case]
    after, done = drafts(reading(text, folder).style, MEASURES, SIZES), compared_case(case)
    assert without_corners(told(done, "place")) == without_corners(expected)
    assert told(done, "place") == subtracted(before, after, "place")
    assert told(done, "length") == subtracted(before, after, "length")
    seams = {(move.key.name, SIZES[number]) for move in done.moves if move.key.section == "seams" for number in move.at}
    assert len(seams) == sum(len(sizes) for sizes in subtracted(before, after, "seam").values())
    assert not done.failing and not done.mended


@pytest.mark.parametrize("case", CASES)
def test_the_rule_that_did_it_is_named(case, compared_case):
    text, done = CASES[case][0], compared_case(case)
    if case == "a comment":
        assert done.changes == [] and not done.moved and done.reworded
        return
    (rule,) = done.changes
    assert text.splitlines()[rule.line - 1].strip() == rule.after[0].strip()
    assert rule.before[0] in STYLE and rule.before != rule.after
    assert done.moves and all(causes == [rule] for causes in done.causes.values())


def test_a_move_of_two_millimetres_is_told_as_such(compared_case):
    done = compared_case("the hem of one piece")
    move = next(move for move in done.moves if (move.key.piece, move.key.name) == ("back", "D"))
    assert [move.by(size) for size in move.at] == [pytest.approx((0.0, 2.0), abs=1e-3)] * 4


def test_an_edge_may_change_its_shape_while_its_ends_stay(compared_case):
    done = compared_case("a bow")
    (edge,) = edge_changes(done.moves, done.lock, done.present, "front")
    assert edge.name == "side" and edge.ends_stay and edge.at == (0, 1, 2, 3)
    assert edge.far == pytest.approx(2.0, abs=2e-3)  # in the middle the bow stands off by 2 mm more: the definition of a bow


def test_an_allowance_moves_the_cut_line_alone(compared_case):
    done = compared_case("an allowance")
    assert {move.key.sort for move in done.moves} == {"allowance", "cut"}
    assert told(done, "allowance") == {("front", "hem width"): ALL, ("back", "hem width"): ALL}
    assert all("hem" in move.key.name for move in done.moves)


SHIPPED = standard_folder("styles")


@pytest.mark.parametrize(
    "before, after",
    [
        ("front_dip   3 cm", "front_dip   3.2 cm"),
        ("draw_in     1 cm", "draw_in     1.2 cm"),
        ("top_side left 1.5 cm", "top_side left 1.7 cm"),
    ],
)
def test_of_a_shipped_style_over_its_sizes(before, after):
    """Six pieces sewn to each other, so that the next must follow what one loses; sizes of the invented workshop.

    All is drafted in centimetres, whose defaults are changed here; a choice may have another default for inches."""
    source, _ = read_text(SHIPPED / "panelled_bustier.style")
    world = FolderWorld(SHIPPED)
    first = read_style(source, world)
    table, _ = read_sizes(read_text(standard_folder("stdlib") / "sizes" / "quay_row.csv")[0], first.style.measurements)
    needed = dict.fromkeys(name for plan in first.style.plans() for name in plan.measures)
    measures = {name: tuple(card.values[name] for card in table.cards) for name in needed}
    lock, _ = present_lock(Lock("", "", "panelled_bustier", "cm", {}, {}, table.names, measures), first.style, first.sources)
    text = Source(source.name, change(before, after, source.text))
    done, _ = compared(lock, Span(source, 0, 0), read_style(text, world), world)
    one, other = (drafts(style, measures, table.names) for style in (first.style, read_style(text, world, {}).style))
    expected = subtracted(one, other, "place")
    assert (
        expected
        and {
            (move.key.piece, move.key.name): {table.names[size] for size in move.at} for move in done.moves if move.key.sort == "place"
        }
        == expected
    )
    (rule,) = done.changes
    assert after in rule.after[0] and all(causes == [rule] for causes in done.causes.values())


# ------------------------------------------------------------------------------------- several changes at once


def test_of_several_changes_each_is_named_for_its_own(locked, folder):
    text = change("bowed 5 mm", "bowed 7 mm", change("intake 2 cm", "intake 2.2 cm", change("1 cm)", "1.2 cm)")))
    text = text.replace('"Two yokes, two panels and a band."', '"Two yokes, two panels, one band."')
    done = against(locked, text, folder)
    prose, width, bow, intake = done.changes
    assert [rule.after[0].split()[0] for rule in done.changes] == ['"Two', "waist_part", "curve", "intake"]
    causes = {(key.piece, key.sort, key.name): found for key, found in done.causes.items()}
    assert causes["front_yoke", "place", "B"] == [width]
    assert causes["front", "edge", "side 1.1 cubic leaving"] == [width, bow]
    assert causes["back_yoke", "place", "dart_near"] == [width, intake]
    assert all(prose not in found and PROGRAM not in found for found in done.causes.values())


def test_what_was_taken_out_or_named_otherwise_is_found_too(locked, folder):
    """No step of today's draft knows of a mark that is gone, nor of a name that stands for another quantity."""
    text = change(
        '        mark "vent" V to C\n',
        "",
        change("across hip_part", "across back_part", change("deep       =", "back_part  = hip_part + 2 mm\ndeep       =")),
    )
    done = against(locked, text, folder)
    wider, panel, vent = done.changes
    causes = {(key.piece, key.sort, key.name): found for key, found in done.causes.items()}
    assert causes["back", "place", "vent start"] == [vent] and vent.after == ()
    assert causes["back", "place", "B"] == [wider, panel]  # neither can be read without the other
    assert told(done, "place")["back", "vent start"] == LARGE


def test_a_rule_of_a_library_is_named_with_its_file(locked, folder):
    wider = LIBRARY.replace("ease = 4 cm", "ease = 4.8 cm")
    (folder / "widths.style").write_text(wider)
    try:
        done = against(locked, STYLE, folder)
        (rule,) = done.changes
        assert rule.file.endswith("widths.style") and rule.after == ("ease = 4.8 cm",)
        assert {piece for piece, _ in told(done, "place")} == {"back"}
        assert all(causes == [rule] for causes in done.causes.values())
        (folder / "widths.style").write_text(LIBRARY.replace("unused = 1 cm", "unused = 2 cm"))
        done = against(locked, STYLE, folder)
        assert not done.moved and done.changes == [] and done.reworded  # of a library only what is used is kept
    finally:
        (folder / "widths.style").write_text(LIBRARY)


def test_what_no_rule_did_the_program_did(locked, folder):
    """A lock of other figures than its own rules give, as if an older program had drafted it."""
    key = next(key for key in locked.rows if (key.piece, key.sort, key.name) == ("band", "place", "B"))
    x, y = locked.rows[key][0]
    older = Lock(**{name: getattr(locked, name) for name in locked.__slots__})
    older.rows = locked.rows | {key: ((x + 2.0, y), *locked.rows[key][1:])}
    done = against(older, STYLE, folder)
    assert told(done, "place") == {("band", "B"): {"34"}} and done.causes[key] == [PROGRAM]
    done = against(older, CASES["the intake of a dart"][0], folder)
    (rule,) = done.changes
    assert done.causes[key] == [PROGRAM]
    assert all(causes == [rule] for other, causes in done.causes.items() if other != key)


# ------------------------------------------------------------------------------------- sizes that fail, courses, pieces


def test_a_size_that_fails_now_is_told_and_its_places_are_not(locked, folder):
    text = STYLE + 'require hip less than 110 cm\n    "no larger"\n'
    done = against(locked, text, folder)
    assert list(done.failing) == ["46"] and "no larger" in done.failing["46"] and done.moves == [] and done.moved
    back = against(done.present, STYLE, folder)
    assert back.mended == ["46"] and back.moves == []


def test_sizes_that_take_another_course_are_told(locked, folder):
    done = against(locked, change("hip more than 100 cm\n", "hip more than 96 cm\n"), folder)
    assert told(done, "place") == named("back", "V", "vent start", "vent end", sizes={"38"})
    assert all(move.new for move in done.moves)


def test_a_piece_that_is_gone(locked, folder):
    start = STYLE.index('piece band "Band"')
    done = against(locked, STYLE[:start] + STYLE[STYLE.index("sew front_yoke.side") :], folder)
    assert {move.key.piece for move in done.moves} == {"band"} and all(move.removed for move in done.moves)


def test_the_same_lock_from_any_folder(locked, folder, tmp_path):
    (Path(tmp_path) / "widths.style").write_text(LIBRARY)
    again, _ = present_lock(Lock("", "", "yoked.style", "cm", {}, {}, SIZES, MEASURES), *reading(STYLE, tmp_path)[:2])
    assert write_lock(again) == write_lock(locked)
