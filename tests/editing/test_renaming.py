"""Renaming keeps every draft: all names of all shipped texts are called otherwise, and what cannot be is refused with a reason.

All shipped styles and libraries stand as a house's own in one folder, each with a comment more than the one that comes with the program.
Every family of names that can be renamed gets a new name of its own, all at once, so that a word that was left out of its family
would leave the texts in disorder or their plans different.  EVERY_NAME=1 renames each by itself as well, which takes long."""

import os
from functools import cache
from pathlib import PurePath

import pytest

import tapeline
from tapeline.editing.alike import unlike
from tapeline.editing.families import Families
from tapeline.editing.renaming import ChangedWorld, Folder, changed, edited, fixed, renamed, unread
from tapeline.source.world import FolderWorld, standard_texts

SHIPPED = {path: text for path, text in standard_texts().items() if path.endswith(".style")}
OWN = {f"house/{PurePath(path).name}": f"-- ours\n{text}" for path, text in SHIPPED.items()}
MAUD = "styles/bodies/maud.toml"
BELT = """language 1
style belt "Belt"
measure waist, hip
lap = 4 cm
around = waist + lap
levels
    middle
    low  10 cm below middle
piece belt
    cut 1
    point A start
    point B A across around
    point C B down 10 cm
    point D A down 10 cm
    line upper A to B
    line end B to C
    line lower C to D
    line on D to A
    dart on upper at half, called tuck
        intake 2 cm
        point 4 cm long
    outline upper, end, lower, on
piece copy "Copy" from belt
    cut 2
    extend end by lap, called wrap
sew copy.wrap to belt.end
girth_there = distance from belt.tuck_near to belt.tuck_far
point_there = distance from copy.wrap_upper to copy.tuck_point
allow
    others 1 cm
"""


@cache
def house():
    """All shipped texts as one folder, read."""
    folder = Folder(tapeline.MemoryWorld(OWN), PurePath("house/dirndl_skirt.style"))
    folder.read(sorted(map(PurePath, OWN)))
    return folder


def test_every_name_of_every_shipped_text_is_renamed_and_all_plans_stay():
    folder = house()
    families = folder.families
    names = {family: f"{families.name(family)}x{number}" for number, family in enumerate(families.all()) if not fixed(folder, family)}
    assert len(names) > 2000
    unsure = set()  # names that stand in recipes which no style uses
    while (word := unread(folder, families.followed(names))) is not None:
        unsure.add(word.text)
        names = {family: name for family, name in names.items() if families.name(family) != word.text}
    assert len(unsure) < 40 and len(names) > 1900
    first = families.words(next(iter(names)))[0]
    edits = changed(folder, names, first)  # which reads all again and compares the plans
    assert {path.name for path in edits} == {PurePath(path).name for path in OWN} - {"measurements.style"}
    assert sum(map(len, edits.values())) > 7000


def test_what_is_not_renamed_has_a_reason():
    folder = house()
    families = folder.families
    reasons = {why for family in families.all() if families.given(family) and (why := fixed(folder, family))}
    beginnings = ("a body measurement", "a name made of", "a name that the language itself gives")
    assert all(why.startswith(beginnings) for why in reasons), reasons


def test_words_of_a_family_are_one_word():
    families = house().families
    for family in families.all():
        assert {span.text for span in families.words(family)} <= {families.name(family)}


@pytest.mark.skipif(not os.environ.get("EVERY_NAME"), reason="takes long: EVERY_NAME=1 renames each name by itself")
def test_each_name_by_itself():
    world = tapeline.MemoryWorld(OWN)
    families = house().families
    for family in families.all():
        if fixed(house(), family):
            continue
        word = families.words(family)[0]
        renaming = renamed(world, PurePath(f"house/{PurePath(word.source.name).name}"), word.start, f"{word.text}_called_so")
        assert not renaming.refused or renaming.notes[0].code == "E133", (word, renaming.notes)


def test_a_draft_is_the_same_after_renaming():
    """A base's block, its edges and a level, through all that starts from it; what is drafted is compared figure by figure."""
    texts = {f"house/{PurePath(path).name}": text for path, text in SHIPPED.items() if path.startswith("styles/")}
    card = {MAUD: standard_texts()[MAUD]}
    world = tapeline.MemoryWorld({**texts, **card, **{path: text for path, text in SHIPPED.items() if path.startswith("stdlib/")}})
    path, other = PurePath("house/sleeveless_bodice.style"), PurePath("house/waisted_dress.style")
    before = tapeline.Session(world).read(other)
    for name, new in (("front_block", "fore"), ("facing_line", "inside_line"), ("waist_ease", "room")):
        source = world.text(path)[0]
        renaming = renamed(world, path, source.text.index(f" {name} ") + 1, new)
        assert not renaming.refused and not renaming.notes
        world = tapeline.MemoryWorld(world.texts | {str(place): edited(edits) for place, edits in renaming.edits.items()})
    assert "fore" in world.texts[str(other)] and "front_block" not in world.texts[str(path)].replace("back_block", "")
    after = tapeline.Session(world).read(other)
    assert after.ok
    (old,), (new,) = (reading.draft([PurePath(MAUD)]).bodies for reading in (before, after))
    assert len(old.pattern.pieces) == len(new.pattern.pieces) > 5
    for one, two in zip(old.pattern.pieces, new.pattern.pieces, strict=True):
        assert [edge.start().tolist() for edge in one.edges] == [edge.start().tolist() for edge in two.edges]
        assert [edge.closed_length().tolist() for edge in one.edges] == [edge.closed_length().tolist() for edge in two.edges]


# ------------------------------------------------------------ one text


def in_memory(texts):
    return tapeline.MemoryWorld(texts, FolderWorld())


def rename(name, new, text=BELT):
    """(the text after renaming the first place of a name that is a word by itself, the renaming)."""
    world = in_memory({"belt.style": text})
    reading = tapeline.Session(world).read(PurePath("belt.style"))
    assert reading.ok, reading.diagnostics
    definition = reading.definition(name)
    renaming = renamed(world, PurePath("belt.style"), definition.written.start, new)
    texts = {path.name: edited(edits) for path, edits in renaming.edits.items()}
    return texts.get("belt.style", text), renaming


def test_names_made_of_a_name_follow():
    text, renaming = rename("belt.tuck", "pinch")
    assert not renaming.refused
    assert "belt.pinch_near to belt.pinch_far" in text and "copy.pinch_point" in text and "tuck" not in text
    text, _ = rename("copy.wrap", "flap")
    assert "called flap" in text and "copy.flap_upper" in text and "sew copy.flap to" in text
    text, _ = rename("belt.upper", "brim")
    assert "copy.wrap_brim" in text and "outline brim, end" in text and "dart on brim" in text


def test_a_piece_taken_over_keeps_its_edges_together():
    text, _ = rename("belt.end", "tip")
    assert "extend tip by" in text and "belt.tip" in text and "line tip B" in text


def test_a_name_that_papers_show_is_told():
    _, renaming = rename("belt", "band")
    assert [note.code for note in renaming.notes] == ["E134"]
    _, renaming = rename("copy", "second")
    assert not renaming.notes and not renaming.refused


@pytest.mark.parametrize(
    ("name", "new", "code"),
    [
        ("lap", "around", "E131"),  # taken
        ("lap", "waist", "E131"),
        ("lap", "2 cm", "E131"),  # no name
        ("lap", "lap", "E131"),
        ("lap", "", "E131"),
        ("belt.on", "start", ""),  # words of the language are free as names elsewhere
        ("middle", "hip", "E132"),  # would be held against the girth of the hips
        ("waist", "middle", "E130"),  # a measurement
        ("belt.tuck_near", "near", "E130"),  # made of another
    ],
)
def test_what_is_refused(name, new, code):
    if name == "belt.tuck_near":
        world = in_memory({"belt.style": BELT})
        renaming = renamed(world, PurePath("belt.style"), BELT.index("tuck_near"), new)
    else:
        text, renaming = rename(name, new)
        assert renaming.refused == (text == BELT)
    assert renaming.refused == bool(code), renaming.notes
    assert [note.code for note in renaming.notes] == ([code] if code else [])
    for note in renaming.notes:
        assert note.title and note.expected and note.found and note.suggestion


def test_a_level_that_was_called_as_a_girth_still_names_it():
    text = BELT.replace("    middle\n", "    waist\n").replace("below middle", "below waist")
    after, renaming = rename("low", "hip", text)
    assert renaming.refused
    world = in_memory({"belt.style": text})
    renaming = renamed(world, PurePath("belt.style"), text.index("    waist\n") + 4, "middle")
    after = edited(renaming.edits[PurePath("belt.style")])
    assert "    middle, girth waist\n    low  10 cm below middle\n" in after and "measure waist, hip" in after


LIBRARY = """language 1
library cuffs "Cuffs"
depth = 6 cm
recipe cuff "Cuff" (
        around length "round the wrist")
    cut 2
    half = around / 2
    widths from centre, before darts
        top  half
        low  half + depth
"""
USER = """language 1
style cuff "Cuff"
use cuffs
measure waist
levels
    top
    low  5 cm below top
piece band "Band" from cuff(around = waist)
half_of_it = depth / 2
allow
    others 1 cm
"""


def test_a_library_of_the_house_and_what_uses_it_change_together():
    world = in_memory({"cuffs.style": LIBRARY, "cuff.style": USER})
    path = PurePath("cuffs.style")
    for name, new, places in (("depth", "height", 2), ("around", "wrist", 3), ("cuff", "wristband", 2), ("half", "middle", 3)):
        renaming = renamed(world, path, LIBRARY.index(name, LIBRARY.index("depth")), new)
        if name == "half":  # stands in the recipe alone, which is read where it is used
            assert {other.name: len(edits) for other, edits in renaming.edits.items()} == {"cuffs.style": 3}, renaming.notes
            continue
        assert {other.name for other in renaming.edits} == {"cuffs.style", "cuff.style"}, renaming.notes
        assert sum(map(len, renaming.edits.values())) >= places
        after = ChangedWorld(world, {(p.name, edits[0].span.source.text): edited(edits) for p, edits in renaming.edits.items()})
        old, again = (tapeline.Session(one).read(PurePath("cuff.style")) for one in (world, after))
        assert again.ok and not unlike(old.plans, again.plans, {name: {new}})
        assert unlike(old.plans, again.plans, {}) or name == "cuff"  # the proof can fail


def test_a_recipe_that_nothing_uses_is_not_guessed_at():
    world = in_memory({"cuffs.style": LIBRARY})
    renaming = renamed(world, PurePath("cuffs.style"), LIBRARY.index("depth"), "height")
    assert [note.code for note in renaming.notes] == ["E133"] and renaming.refused
    renaming = renamed(world, PurePath("cuffs.style"), LIBRARY.index("around"), "wrist")
    assert [len(edits) for edits in renaming.edits.values()] == [2]


def test_an_equal_library_that_comes_with_the_program_is_left_alone():
    text = SHIPPED["stdlib/waistbands.style"]
    world = in_memory({"house/waistbands.style": text, "house/belt.style": BELT})
    renaming = renamed(world, PurePath("house/waistbands.style"), text.index("recipe ") + 7, "band_anew")
    assert [note.code for note in renaming.notes] == ["E130"]


def test_families_join_what_courses_part():
    """A name that two branches give differently is one family where both are meant by one word."""
    text = 'language 1\nstyle s "S"\nmeasure waist\nchoose long yes\nwhen long\n    a = 2 cm\notherwise\n    a = 3 cm\nb = a + waist\n'
    reading = tapeline.Session().read(text)
    assert reading.ok, reading.diagnostics
    families = Families([reading.symbols])
    family = families.at(reading.source, text.index("b = a") + 4)
    assert [span.line for span in families.words(family)] == [6, 8, 9]


def test_other_files_that_have_the_word_are_told():
    """Fittings and orders are read with a client's card, which may lie anywhere: they are never changed, but told of."""
    fittings = 'fittings nell "Nell"\nfitting 2024-05-02 of belt\n    take in belt.end 1 cm\n'
    world = in_memory({"belt.style": BELT, "nell.fittings": fittings, "order.toml": "lap = '5 cm'\n"})
    for name, told in (("end", ["nell.fittings"]), ("lap", ["order.toml"]), ("around", [])):
        at = world.text(PurePath("belt.style"))[0].text.index(f"{name} ")
        renaming = renamed(world, PurePath("belt.style"), at, "anew")
        assert not renaming.refused
        assert [note.found for note in renaming.notes if note.code == "E135"] == ([", ".join(told)] if told else [])
