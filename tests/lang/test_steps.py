"""A style's own steps of making up, and how its seams are pressed: what a plan keeps of them.  The styles are made up."""

import numpy as np

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

SKIRT = """language 1
style skirt "Skirt"
measure waist
recipe half "Half" ()
    cut 1 on fold at centre
    point A start
    point B A across waist / 4
    point C A down 60 cm
    point D B down 60 cm
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline centre, top, side, hem
    dart on top at half, called fold
        intake 2 cm
        point 10 cm long
    bone along side, 1 cm clear at both ends
piece front "Front" from half()
    step tack "Tack the bones." on bones before hem
piece back "Back" from half()
sew front.side to back.side, pressed toward back
allow
    hem     4 cm turned up
    others  1 cm
"""


def steps(*lines):
    style, said = read(Source("skirt.style", SKIRT + "".join(f"{line}\n" for line in lines)), FolderWorld(None))
    assert style is not None and said == [], said
    (made,) = draft(style, {"waist": np.array([700.0])})
    assert not made.failed.any()
    return {step.name: step for step in made.plan.own_steps}, made


def test_a_name_alone_means_the_edge_in_every_piece():
    made, _ = steps('step one "Mark it." on hem after fold')
    assert made["one"].places == (("front", "hem"), ("back", "hem"))
    assert made["one"].after[0].places == (("front", "fold"), ("back", "fold"))


def test_a_step_of_a_piece_names_its_own_and_is_called_with_its_piece():
    made, _ = steps('step one "Mark it." on back.hem to front.hem after front.tack')
    assert made["front.tack"].places == (("front", "bones"),)
    assert [anchor.step for anchor in made["one"].after] == ["front.tack"]
    assert made["one"].onto == (("front", "hem"),)


def test_an_unnamed_step_stands_by_itself():
    own, made = steps('step "Let it hang." after side before hem')
    assert own[""].words == "Let it hang."
    order = [[work.kind for work in step.tasks] for step in made.ledgers.order.steps]
    assert order.index(["seam"]) < order.index(["own"]) < order.index(["hem"])


def test_a_seam_keeps_how_it_is_pressed():
    _, made = steps()
    assert [seam.pressed for seam in made.plan.seams] == ["back"]
