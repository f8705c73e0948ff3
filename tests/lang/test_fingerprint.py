"""The fingerprint of the rules: what counts for nothing in it, and that every rule counts.

The trees are changed in their texts, by means that know nothing of how the fingerprint is taken.
"""

import re

import pytest

import tapeline
from tapeline.meaning.fingerprint import GROUP, LETTERS, LONG
from tapeline.source.world import standard_folder

LIBRARY = """language 1
library shares "Shares"

-- The share of one piece.
rule share (girth length, parts number)
    gives girth / parts

rule not_used (girth length)
    gives girth / 7

spare = share of (10 cm, 2)
"""
STYLE = """language 1
style belt "Belt" version 1.0
    "A belt that laps."

use shares

measure waist
choose lap 5 cm from 2 cm to 10 cm "how far it laps"
long = share of (waist, 1) + lap

piece belt "Belt"
    cut 1
    point A start
    point B A across long
    point C A down 4 cm
    point D B down 4 cm
    line one A to C
    line upper A to B
    line other B to D
    line lower C to D
    outline upper, other, lower, one
    notch on upper at 3 cm from A
    mark "fold line" A to D

allow
    others 1 cm

require long at least waist
    "the belt reaches round"
"""


def rules(style=STYLE, library=LIBRARY, name="belt.style", **others):
    texts = {"shares.style": library, **{f"{key}.style": text for key, text in others.items()}}
    reading = tapeline.Session(tapeline.MemoryWorld({**tapeline.standard_texts(), **texts})).read(style, name)
    assert reading.ok, [tapeline.render(diagnostic) for diagnostic in reading.diagnostics]
    return reading.fingerprint


def test_it_is_a_short_word_in_groups():
    assert re.fullmatch(f"[{LETTERS}]{{{GROUP}}}(-[{LETTERS}]{{{GROUP}}}){{{LONG // GROUP - 1}}}", rules())
    assert not set("ILOU") & set(LETTERS)
    reading = tapeline.Session(tapeline.MemoryWorld({})).read("language 1\nstyle a")
    assert reading.fingerprint == ""


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("piece belt", "-- the only piece\npiece belt"),
        lambda text: text.replace("    cut 1\n", "    cut 1   -- of leather\n\n\n"),
        lambda text: re.sub(r"(?m)^( +)", r"\1\1", text),
        lambda text: text.replace(" 4 cm", "   4  cm").replace(" = ", "    =  ").replace("share of (waist, 1)", "share of ( waist,1 )"),
        lambda text: (
            text.replace("version 1.0", "version 2.0")
            .replace("A belt that laps.", "It laps, as belts do.")
            .replace('"Belt" v', '"A belt" v')
        ),
        lambda text: text + "\n-- the end\n",
    ],
)
def test_comments_layout_and_heading_count_for_nothing(change):
    assert change(STYLE) != STYLE
    assert rules(change(STYLE)) == rules()
    assert rules(library="-- Parts of a whole.\n" + LIBRARY.replace("    gives", "        gives ")) == rules()


def test_every_figure_and_word_of_a_rule_counts():
    changes = [
        ("lap 5 cm", "lap 6 cm"),
        ("to 10 cm", "to 11 cm"),
        ('"how far it laps"', '"the lap"'),
        ("+ lap", "- lap"),
        ("waist, 1", "waist, 2"),
        ("cut 1", "cut 2"),
        ("across long", "across lap"),
        ("A down 4 cm", "A down 4.5 cm"),
        ("A down 4 cm", "A down 40 mm"),
        ("upper at 3 cm", "upper at 3.1 cm"),
        ("3 cm from A", "3 cm from B"),
        ('"fold line"', '"crease"'),
        ("others 1 cm", "others 2 cm"),
        ("others 1 cm", "others none"),
        ("at least waist", "at least lap"),
        ("    cut 1\n", "    cut 1\n    bone along upper\n"),
    ]
    told = {rules(), *(rules(STYLE.replace(before, after)) for before, after in changes)}
    assert len(told) == 1 + len(changes)


def test_of_a_library_what_is_used_counts():
    assert rules(library=LIBRARY.replace("girth / 7", "girth / 8")) == rules()
    assert rules(library=LIBRARY.replace("spare = share of (10 cm, 2)", "spare = 7 cm")) == rules()
    assert rules(library=LIBRARY.replace("girth / parts", "girth / parts + 1 mm")) != rules()
    through = LIBRARY.replace("gives girth / parts", "gives girth / parts + spare - spare").replace("share of (10 cm, 2)", "3 cm")
    assert rules(library=through) != rules(library=through.replace("3 cm", "4 cm"))


def test_a_style_that_starts_from_another_counts_the_rules_of_both():
    other = 'language 1\nstyle wide "Wide belt" version 1.0\n\nstart from belt\n\nlap = 6 cm\n'
    other = other.replace("lap = 6 cm", 'choose lap 6 cm from 2 cm to 10 cm "how far it laps"')
    first = rules(other, name="wide.style", belt=STYLE)
    assert first == rules(STYLE.replace("lap 5 cm", "lap 6 cm"))  # it means the same, said at once or anew
    assert first != rules(other, name="wide.style", belt=STYLE.replace("down 4 cm", "down 5 cm"))
    # what the new statements lead to is found as well
    reach = other + "\nlong = share of (waist, 1) + not_used of waist\n"
    assert rules(reach, LIBRARY, "wide.style", belt=STYLE) != rules(reach, LIBRARY.replace("/ 7", "/ 8"), "wide.style", belt=STYLE)


def test_shipped_styles_have_rules_of_their_own(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    paths = sorted(standard_folder("styles").glob("*.style"))
    anew = {path.stem: tapeline.Session().read(path).fingerprint for path in paths[:4]}
    assert len(set(anew.values())) == len(anew)
    for keeping in range(2):  # read and kept, then taken from what was kept
        kept = {path.stem: tapeline.Session(keep=True).read(path).fingerprint for path in paths[:4]}
        assert kept == anew, keeping


STYLES = sorted(standard_folder("styles").glob("*.style"))


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_a_shipped_style_without_its_comments_has_the_same_rules(path):
    """Comments and blank lines taken out, other ones put in; by the letters alone, no parser asked."""
    text = path.read_text(encoding="utf-8")
    lines = [re.sub(r'^((?:[^"\n]|"[^"\n]*")*?)--.*$', r"\1", line).rstrip() for line in text.split("\n")]
    bare = "\n".join(line for line in lines if line) + "\n"
    spaced = bare.replace("\n", "\n\n   -- nothing\n", 3)
    world = tapeline.FolderWorld(path.parent)
    told = [tapeline.Session(world).read(version, path.name).fingerprint for version in (text, bare, spaced)]
    assert told[0] and len(set(told)) == 1


def test_every_figure_of_a_shipped_style_counts():
    """Each figure of the rules is changed by itself; where the style is still in order its rules are other rules."""
    path = standard_folder("styles") / "straight_skirt.style"
    text, world = path.read_text(encoding="utf-8"), tapeline.FolderWorld(path.parent)
    begin = text.index("\nuse ")
    own, tried = tapeline.Session(world).read(text, path.name).fingerprint, 0
    for match in re.finditer(r"(?<![\w.])\d+(?![\w/.])", text):
        line = text[text.rfind("\n", 0, match.start()) + 1 : match.start()]
        if match.start() < begin or "--" in line or line.count('"') % 2:
            continue
        changed = text[: match.start()] + str(int(match[0]) + 1) + text[match.end() :]
        reading = tapeline.Session(world).read(changed, path.name)
        if reading.ok:
            tried += 1
            assert reading.fingerprint != own, line
    assert tried > 20
