"""No curve of a shipped style, and none of a published draft, is told to misbehave, but where it does.

All women of the two surveys of `population.py` are tried with EVERY_WOMAN=1, otherwise one in so many, as `tried.py` says.
"""

from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from population import SURVEYS
from tried import STYLES, women

from tapeline.drafting import examples
from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text

CURVES = {"D534", "D535", "D536", "D538"}
WORKED = sorted((Path(__file__).parents[1] / "worked").glob("*.style"))
# The front armholes of five of 1,986 women, whose front is wider across the chest than at the underarm: they do run back, by 5 to 9 mm.
KNOWN = {("waisted_dress", "D534", "front.armhole"): 5, ("waisted_dress", "D534", "front_facing.armhole"): 5}


def told(drafts):
    """(code, piece and edge) -> for how many bodies it is said of a true draft."""
    return counted((drafted, slice(None)) for drafted in drafts)


def counted(drafts):
    """The same of some of the bodies of each draft."""
    counts = Counter()
    for drafted, places in drafts:
        asked = np.zeros(len(drafted.index), dtype=bool)
        asked[places] = True
        for failure in drafted.failures:
            if failure.code in CURVES:
                bodies = failure.bodies & asked & (~drafted.failed if failure.severity == "caution" else True)
                if bodies.any():
                    counts[failure.code, failure.diagnostic(int(np.argmax(bodies))).title.split()[0]] += int(bodies.sum())
    return counts


@pytest.mark.parametrize("survey", SURVEYS)
@pytest.mark.parametrize("name", STYLES)
def test_the_curves_of_shipped_styles_are_fair(name, survey):
    found = counted((whole.draft, places) for whole, places, _ in women(name, survey))
    wrong = {key: count for key, count in found.items() if count > KNOWN.get((name, *key), 0)}
    assert not wrong, wrong


@pytest.mark.parametrize("path", WORKED, ids=lambda path: path.stem)
def test_the_curves_of_published_drafts_are_fair(path, monkeypatch):
    style, _ = read(read_text(path)[0], FolderWorld(path.parent))
    drafts = []

    def kept(*given):
        drafts.extend(draft(*given))
        return drafts[-1:]

    monkeypatch.setattr(examples, "draft", kept)
    examples.run_examples(style)
    assert drafts and not told(drafts)


# Crotch curves as trouser drafts have them (common practice): from the seat line down the centre, past the corner of centre and
# crotch line at some 3 to 4 cm from it, and out to the fork, a sixteenth of the hip in front and an eighth behind, where the fork
# may be dropped and the centre lean.
TROUSERS = """language 1
style trousers "Trouser tops"
measure hip, crotch_depth
choose away   3 cm from 1 cm to 6 cm
choose lean  10 deg from 0 deg to 20 deg
choose drop   1 cm from 0 cm to 2 cm
piece front "Front"
    cut 2
    point W  start
    point X  W down crotch_depth
    point S  X up hip / 16
    point F  X left hip / 16
    point Q  X up away * 0.7071, left away * 0.7071
    point B  W across hip / 4
    point D  X across hip / 4
    line  top W to B
    line  side B to D
    line  fork D to F
    line  straight W to S
    curve bend S to F through Q, leaving plumb, arriving level
    edge  centre straight, bend
    outline top, side, fork, centre
piece back "Back"
    cut 2
    point X  start
    point S  X up hip / 16
    point W  S up crotch_depth - hip / 16, right (crotch_depth - hip / 16) * tangent of lean
    point F  X left hip / 8, down drop
    point Q  X up away + 15 mm, left away
    point B  W across hip / 4
    point D  X across hip / 4 + 4 cm
    line  top W to B
    line  side B to D
    line  fork D to F
    line  straight W to S
    curve bend S to F through Q, leaving along W to S
    edge  centre straight, bend
    outline top, side, fork, centre
"""


@pytest.mark.parametrize("away, lean, drop", [(30.0, 5.0, 5.0), (30.0, 10.0, 10.0), (40.0, 15.0, 15.0)])
def test_crotch_curves_are_fair(away, lean, drop):
    style, found = read(Source("trousers.style", TROUSERS), FolderWorld())
    assert style is not None, found
    bodies = SURVEYS["ANSUR II"]().values
    choices = {"away": away, "lean": np.radians(lean), "drop": drop}
    drafts = draft(style, {measure: bodies[measure][::8] for measure in style.plan().measures}, choices)
    assert not any(drafted.failed.any() for drafted in drafts)
    assert not told(drafts)
