"""What is said of finished pieces: who sees them as they were fitted, what is told of fittings, and how they are taken away."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import tapeline as package
from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import CAUTION, render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, MemoryWorld

SKIRT = """language 1
style skirt "Skirt"
measure waist, hip, waist_to_hip
levels
    waist
    hip   waist_to_hip below waist
    hem   60 cm below waist
recipe half "Front or back" ()
    widths from centre, with darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
        hem as hip
    side smooth waist to hip, straight hip to hem
recipe higher "Higher at the side" (more length)
    raise waist more at side, to nothing at centre
piece front "Front" from half()
    cut 1 on fold at centre
piece back "Back" from half()
    cut 2
piece lining "Lining" from back
    cut for "lining"
band_long = length of front.waist + length of back.waist
find tall between 1 cm and 200 cm so that tall + length of front.side is 2 m
sew front.side to back.side
sew back.centre to back.centre
"""
IN = "take in front.side and back.side 1 cm at waist, to nothing at hip\n"


def reading(lines: str, name: str = "skirt.style", **others: str):
    world = MemoryWorld({f"{other}.style": text for other, text in others.items()}, FolderWorld(Path(".")))
    return read(Source(name, lines), world)


def pattern(lines: str):
    style, said = reading(SKIRT + lines)
    assert style is not None, "\n".join(map(render, said))
    drafts = draft(style, {"waist": np.array([700.0]), "hip": np.array([960.0]), "waist_to_hip": np.array([200.0])})
    return drafts[0].pattern, [failure for failure in drafts[0].failures if failure.severity == "error"]


def cautions(lines: str) -> list[tuple[str, list[str]]]:
    _, said = reading(SKIRT + lines)
    return [(one.code, [one.span.text, *(span.text for span, _ in one.others)]) for one in said if one.severity == CAUTION]


def test_rules_measure_a_piece_as_it_was_drafted_and_what_is_made_from_it_follows():
    (plain, _), (fitted, failures) = pattern(""), pattern(IN)
    assert not failures
    for value in ("band_long", "tall"):
        assert np.abs(plain.values[value] - fitted.values[value]).max() < 1e-9
    for piece in ("front", "back", "lining"):
        assert (plain.piece(piece).edge("waist").closed_length() - fitted.piece(piece).edge("waist").closed_length() > 9.0).all()


@pytest.mark.parametrize(
    ("condition", "holds"),
    [
        ("length of front.waist less than waist / 4 - 9 mm", True),
        ("girth at waist less than waist - 3.6 cm", True),
        ("band_long is waist / 2", True),
    ],
)
def test_what_is_required_is_required_of_the_fitted_piece(condition, holds):
    _, failures = pattern(IN + f"require {condition}\n")
    assert [one.code for one in failures] == ([] if holds else ["D460"])


def test_a_place_is_named_by_level_corner_point_or_distance():
    (plain, _), *others = (
        pattern(line)
        for line in (
            "",
            "take in front.side 1 cm at hip, to nothing at waist and hem\n",
            "take in front.side 1 cm at front.hip_side, to nothing at waist_side and hem_side\n",
            "take in front.side 1 cm at length of front.side from waist_side to hip_side from waist, to nothing at 0 cm from waist and hem\n",
        )
    )
    edges = [one.piece("front").edge("side").stitch_path().flatten() for one, _ in others]
    gone = others[0][0].piece("front").points["hip_side"] - plain.piece("front").points["hip_side"]
    assert np.abs(np.linalg.norm(gone, axis=1) - 10.0).max() < 1e-3
    assert np.abs(edges[0] - edges[1]).max() < 1e-6 and np.abs(edges[0] - edges[2]).max() < 1e-6


def test_a_fitting_that_takes_another_back_is_told_with_both():
    out = "let out front.side and back.side 4 mm at waist, to nothing at hip\n"
    assert cautions(IN + out) == [("N388", [out.strip(), IN.strip()])]
    assert not cautions(IN + out.replace("at waist, to nothing at hip", "at hip, to nothing at waist and hem"))
    left, right = (line.strip() + f", on the {side}\n" for line, side in ((IN, "left"), (out, "right")))
    assert not cautions(left + right)
    assert [code for code, _ in cautions("lengthen front and back 1 cm at hip\nshorten back 1 cm at hip\n")] == ["N388"]


def test_one_side_alone_of_a_seam_is_told_but_not_where_the_other_follows():
    assert [code for code, _ in cautions("let out front.side 3 mm at hip, to nothing at waist and hem\n")] == ["N389"]
    follows = "sew back.waist to lining.waist\ndrop back.waist 5 mm at centre, to nothing at side\n"
    assert not cautions(follows)


def test_fittings_are_taken_away_by_what_they_name():
    lines = IN + "fit back as higher(5 mm)\nlengthen front and back 2 cm at hip\nraise front.waist 5 mm at side, to nothing at centre\n"
    without = "without take in front.side and back.side\nwithout fit back as higher\nwithout lengthen front and back at hip\n"
    style, said = reading(
        'language 1\nstyle plain "Plain"\nstart from skirt\n' + without + "without raise front.waist\n",
        "plain.style",
        skirt=SKIRT + lines,
    )
    assert style is not None and not said, "\n".join(map(render, said))
    assert not {"move_edge", "lengthen"} & {step.operation for step in style.plan().steps}


def test_a_recipe_on_one_side_moves_its_edges_there():
    style, said = reading(SKIRT + "fit front and back as higher(5 mm), on the left\n")
    assert style is not None and not [one for one in said if one.severity != CAUTION]
    sides = [step.options["side"] for step in style.plan().steps if step.operation == "on_side"]
    assert set(sides) == {"left"}


@pytest.mark.parametrize("line", [IN, IN.replace("at waist, to nothing at hip", "at hip, to nothing at waist and hem")])
def test_what_is_said_often_grows_by_as_much_each_time(line):
    """Neither the plan nor the line that is moved is a multiple longer for one more statement, and each is carried out."""
    small = line.replace("1 cm", "1/2 mm")
    steps = [len(reading(SKIRT + small * often)[0].plan().steps) for often in (1, 4, 8, 12)]
    assert steps[3] - steps[2] == steps[2] - steps[1] and steps[1] - steps[0] == (steps[2] - steps[1]) * 3 // 4
    drawn = [pattern(small * often) for often in (4, 8, 12)]
    assert not any(failures for _, failures in drawn)
    segments = [len(one.piece("back").edge("side").strips[0].segments) for one, _ in drawn]
    assert segments[0] <= 24 and segments[2] - segments[1] <= segments[1] - segments[0] + 1 <= 9
    once, often = (one.piece("back").edge("side").closed for one in (pattern(line.replace("1 cm", "6 mm"))[0], drawn[2][0]))
    for at in np.linspace(0.0, 1.0, 9):
        assert np.abs(once.point_at(once.length() * at) - often.point_at(often.length() * at)).max() < 0.1


LINED = """choose lined yes
when lined
    piece back_lining "Back lining" from half()
        cut 2
    sew back.side to back_lining.side
"""


def test_an_edge_that_is_not_always_there_is_named_below_its_when_and_each_thing_told_once():
    out = IN.replace("take in", "let out").replace("1 cm", "4 mm")
    reading = package.Session().read(SKIRT + LINED + IN + out)
    (one_side,) = [said for said in reading.diagnostics if said.code == "N389"]
    assert 'below "when lined": take in back_lining.side 1 cm at waist' in one_side.suggestion
    drafts = reading.draft({"Maud": {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0}}, ["lined=no"])
    told = [said.code for said in (*reading.diagnostics, *drafts.diagnostics)]
    assert drafts.ok, drafts.diagnostics
    assert told.count("N388") == 1
    words, _, _ = one_side.suggestion.partition("; or")
    followed = package.Session().read(SKIRT + LINED + IN + "when lined\n    " + words.partition('": ')[2] + "\n")
    assert not followed.diagnostics


def test_a_piece_is_parted_so_far_above_or_below_a_level():
    (plain, _), (longer, _), (shorter, failures) = (
        pattern(said)
        for said in ("", "lengthen front and back 2 cm at 5 cm above hem\n", "shorten front and back 2 cm at 10 cm below hip\n")
    )
    assert not failures
    old, new, short = (one.piece("back").points for one in (plain, longer, shorter))
    assert (new["hem_side"] - old["hem_side"])[0] == pytest.approx([0.0, 20.0])
    assert (short["hem_side"] - old["hem_side"])[0] == pytest.approx([0.0, -20.0]) and (short["hip_side"] == old["hip_side"]).all()
    _, (failure, *_) = pattern("lengthen front and back 2 cm at hem\n")
    assert failure.code == "D647" and "at 5 cm above hem" in failure.suggestion
    assert [code for code, _ in cautions("lengthen back 1 cm at 5 cm above hem\nshorten back 1 cm at 5 cm above hem\n")] == ["N388"]
    assert not cautions("lengthen back 1 cm at 5 cm above hem\nshorten back 1 cm at 6 cm above hem\n")


def test_one_side_only_is_said_without_only():
    _, (told,) = reading(SKIRT + IN.strip() + ", on the left only\n")
    assert told.code == "S106" and "on the left." in told.suggestion


def test_what_is_marked_on_a_strip_that_is_taken_away_is_told():
    marked = """change piece back
    point P waist_side across -1 mm, down 20 mm
    point Q waist_side across -20 mm, down 20 mm
    point R waist_side across -40 mm, down 20 mm
    hook at P
    button at R, 1 cm
    buttonhole P to Q
"""
    plain = (
        """language 1
style plain "Plain"
start from skirt
"""
        + marked
    )
    counts = []
    for line in ("", IN):
        style, said = reading(plain + line, "plain.style", skirt=SKIRT)
        assert style is not None, said
        (made,) = draft(style, {"waist": np.array([700.0]), "hip": np.array([960.0]), "waist_to_hip": np.array([200.0])})
        back = made.pattern.piece("back")
        counts.append((len(back.point_marks), len([mark for mark in back.marks if mark.kind == "buttonhole"])))
        told = [one.title for one in made.failures if one.code == "D651"]
        words = "What a fitting takes away has the {} P of back on it"
        assert sorted(told) == ([words.format("buttonhole"), words.format("hook")] if line else [])
    assert counts == [(2, 1), (1, 0)]
