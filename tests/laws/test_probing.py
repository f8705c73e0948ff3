"""Laws of probing: bodies spread evenly over the ranges, and failures shrunk to bodies from which nothing more can be taken."""

import csv
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_intervals import PIECE
from workbench import style_of

from tapeline.bodies.table import read_table
from tapeline.finishing.whole import drafted_whole
from tapeline.meaning.style import read
from tapeline.probing import tries
from tapeline.probing.cases import cases_of
from tapeline.probing.probe import Population, probe
from tapeline.probing.share import percent
from tapeline.probing.shrink import Shrinker, together
from tapeline.probing.spread import Variable, believed, even, spread, variables_of
from tapeline.probing.trial import PASSES, Trial
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = Path(__file__).parents[1] / "styles"


# ------------------------------------------------------------------------------------------------ bodies


@pytest.mark.parametrize("dimensions", [1, 3, 20])
def test_points_fill_every_side_of_the_cube_evenly(dimensions):
    points = even(1, 1024, dimensions)
    assert ((points >= 0.0) & (points < 1.0)).all()
    counts = np.stack([np.histogram(points[:, k], 16, (0.0, 1.0))[0] for k in range(dimensions)])
    assert abs(counts - 64).max() <= 4  # chance would stray by 8 in two cells out of three
    if dimensions > 1:
        pairs = np.histogram2d(points[:, 0], points[:, -1], 4, [(0.0, 1.0)] * 2)[0]
        assert abs(pairs - 64).max() <= 16


def test_spread_bodies_keep_to_ranges_and_whole_numbers_and_are_believed():
    style = style_of(
        'language 1\nstyle made "Made"\nmeasure bust, underbust, shoulder_slope\nchoose n 2 from 1 to 6 "x"\n'
        f'choose vent yes "x"\nchoose flare 2 cm from 0 cm to 5 cm "x"\nbuttons n, 15 mm\n{PIECE}'
    )
    variables = variables_of(style, {})
    assert [(one.name, one.word) for one in variables] == [
        ("bust", "length"),
        ("underbust", "length"),
        ("shoulder_slope", "angle"),
        ("n", "count"),
        ("vent", "condition"),
        ("flare", "length"),
    ]
    table, left_out = spread(variables, 600, style.doubts)
    assert len(table) == 600 and left_out > 0 and believed(table, variables, style.doubts).all()
    assert (table[:, 0] >= table[:, 1]).all()  # the library doubts a bust smaller than the underbust
    assert set(table[:, 3]) == {1.0, 2.0, 3.0, 4.0, 5.0, 6.0} and set(table[:, 4]) == {0.0, 1.0}
    low, high = (np.array([getattr(one, end) for one in variables]) for end in ("low", "high"))
    assert (table >= low).all() and (table <= high).all()
    assert (np.ptp(table, axis=0)[[2, 5]] > 0.95 * (high - low)[[2, 5]]).all()
    assert (spread(variables, 600, style.doubts)[0] == table).all()


def test_ranges_that_no_body_is_believed_in_end():
    style = style_of(f'language 1\nstyle made "Made"\nmeasure hip\n{PIECE}')
    variables = [Variable("bust", "length", 500.0, 600.0, 550.0, False), Variable("underbust", "length", 700.0, 800.0, 750.0, False)]
    table, left_out = spread(variables, 50, style.doubts)
    assert len(table) == 0 and left_out == 16 * 50


# -------------------------------------------------------------------------------------------- shrinking


MEASURES = ("waist", "hip", "height", "neck")


@st.composite
def flaws(draw):
    """A requirement that some bodies break: one to three measures, alone or against each other."""

    def limit(name):
        low, high = {"waist": (450, 1600), "hip": (450, 1800), "height": (900, 2000), "neck": (250, 550)}[name]
        return f"{name} {draw(st.sampled_from(['more', 'less']))} than {draw(st.integers(low, high))} mm"

    parts = [limit(name) for name in draw(st.lists(st.sampled_from(MEASURES), min_size=0, max_size=2, unique=True))]
    if not parts or draw(st.booleans()):
        parts.append(f"hip - waist {draw(st.sampled_from(['more', 'less']))} than {draw(st.integers(-500, 700))} mm")
    return " and ".join(parts)


@settings(max_examples=20)
@given(flaws(), st.sampled_from(["cm", "in"]))
def test_a_shrunken_body_fails_in_its_kind_and_each_measure_set_back_passes(flaw, unit):
    style = style_of(f'language 1\nstyle made "Made"\nmeasure {", ".join(MEASURES)}\nrequire not ({flaw}) "x"\n{PIECE}')
    women = Population(
        "few",
        {
            "waist": np.array([700.0, 800.0, 1000.0]),
            "hip": np.array([950.0, 1020.0, 1150.0]),
            "height": np.array([1600.0, 1650.0, 1720.0]),
            "neck": np.array([350.0, 370.0, 390.0]),
        },
        3,
    )
    result = probe(style, {}, women, 192, unit)
    if not result.fails or not result.middle_passes:
        return
    trial = Trial(style, result.variables, {})
    (simplest,) = result.simplest

    def passes(body):
        return trial.kinds_of(body[None])[0] == PASSES

    body = simplest.body
    assert not passes(body)
    assert set(simplest.differs) == set(np.flatnonzero(body != result.middle))
    for k in simplest.differs:
        back = body.copy()
        back[k] = result.middle[k]
        assert passes(back)
    for margin in simplest.margins:
        k = result.variables.index(margin.variable)
        failing, passing = body.copy(), body.copy()
        failing[k], passing[k] = margin.fails, margin.passes
        assert not passes(failing) and passes(passing)
        assert abs(margin.fails - margin.passes) <= (1.0 if unit == "cm" else 25.4 / 16) * 1.01
        # Nearest to the middle, then a little rounder: half a centimetre at most.
        assert not margin.differs or abs(body[k] - margin.fails) <= 5.0 + 1e-6


def test_a_measure_is_set_back_though_it_lies_between_two_that_cannot_be():
    style = style_of(
        'language 1\nstyle made "Made"\nmeasure waist, hip, height\n'
        f'require not (hip more than 150 cm and height less than 150 cm) "x"\n{PIECE}'
    )
    trial = Trial(style, variables_of(style, {}), {})
    middle, body = np.array([800.0, 1000.0, 1650.0]), np.array([1100.0, 1700.0, 1490.0])
    kind = int(trial.kinds_of(body[None])[0])
    shrinker = Shrinker(kind, False, trial.variables, middle, np.array([100.0, 100.0, 100.0]), "cm")
    assert together(trial, [shrinker.fewest(body)])[0].tolist() == [800.0, 1700.0, 1490.0]


def test_fewest_measures_come_first():
    # A hip over 150 cm fails alone; nearer to the middle two measures fail together.
    style = style_of(
        'language 1\nstyle made "Made"\nmeasure waist, hip, height\n'
        f'require not (hip more than 150 cm or hip more than 110 cm and height less than 150 cm) "x"\n{PIECE}'
    )
    (simplest,) = probe(style, {}, None, 512).simplest
    assert [("waist", "hip", "height")[k] for k in simplest.differs] == ["hip"]


def test_two_rules_are_two_kinds_and_the_first_error_of_a_body_is_its_kind():
    style = style_of(
        'language 1\nstyle made "Made"\nmeasure waist, hip\nrequire hip less than 150 cm "hip"\n'
        f'require waist less than 130 cm "waist"\n{PIECE}'
    )
    result = probe(style, {}, None, 256)
    assert [kind.title for kind in result.kinds] == ["hip", "waist"]
    table = result.samples[0].table
    broad = table[:, 1] >= 1500.0
    assert (result.samples[0].kinds[broad] == 0).all()
    assert (result.samples[0].kinds[~broad & (table[:, 0] > 1300.0)] == 1).all()


def test_a_body_on_the_edge_who_passes_when_she_is_drafted_alone_is_no_case():
    passes = SimpleNamespace(failures=[])
    found = SimpleNamespace(simplest=[SimpleNamespace(body=np.zeros(1), kind=0)], trial=SimpleNamespace(drafted=lambda table: [passes]))
    assert cases_of(found) == []


def test_percent_never_rounds_a_failure_away():
    assert [percent(*one) for one in ((0, 9), (1, 1000), (999, 1000), (9, 9), (1, 2))] == ["0 %", "1 %", "99 %", "100 %", "50 %"]


def test_a_body_is_told_why_she_cannot_be_drafted_though_nobody_else_of_her_draft_can():
    # Of a piece that is cut in two no part may be missing where nothing is known of its edges.
    source, _ = read_text(standard_folder("styles") / "vented_pencil_skirt.style")
    style, _ = read(source, FolderWorld())
    body = {"waist": 926.8, "hip": 1498.1, "waist_to_hip": 80.0, "waist_to_knee": 626.8}
    (whole,) = drafted_whole(style, {name: np.array([value]) for name, value in body.items()})
    assert [failure.code for failure in whole.failures if failure.severity == "error"] == ["D405"]


def test_a_fault_of_the_program_is_told_with_a_body_that_has_it(monkeypatch):
    style = style_of(f'language 1\nstyle made "Made"\nmeasure hip\n{PIECE}')
    trial = Trial(style, variables_of(style, {}), {})
    sound = tries.drafted_whole

    def faulty(style, measures, choices, unit, bodies):
        if (measures["hip"] == 1234.0).any():
            raise KeyError("front")
        return sound(style, measures, choices, unit, bodies=bodies)

    monkeypatch.setattr(tries, "drafted_whole", faulty)
    with pytest.raises(RuntimeError, match="KeyError 'front' for hip 123.4 cm"):
        trial.kinds_of(np.array([[900.0], [1000.0], [1234.0], [1100.0], [1200.0]]))


# ------------------------------------------------------------------------------------------- population


def test_the_population_that_is_shipped_is_the_survey(tmp_path):
    path = standard_folder("stdlib") / "populations" / "ansur_ii_women.csv"
    style = style_of(f'language 1\nstyle made "Made"\nmeasure hip\n{PIECE}')
    source, _ = read_text(path)
    cards, found = read_table(source, style.measurements)
    assert not found and len(cards) == 1986 and path.stat().st_size < 400_000
    # The measures that the survey took, as the file of the tests has them, which was read from the survey by itself.
    with open(STYLES / "ansur2_women.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    head = " ".join(line.lstrip("# ") for line in source.text.split("\n") if line.startswith("#"))
    measured = head.split("Measured: ")[1].split(".")[0].split(", ")
    assert len(measured) == 18 and set(measured) <= set(rows[0])
    for card, row in zip(cards[::50], rows[::50], strict=True):
        assert {name: card.values[name] for name in measured} == {name: float(row[name]) for name in measured}
    # Whatever else the table holds is named as an estimate, with its source; the waist's place is told.
    told = head.split("where each figure is from:")[1]
    assert all(name in told for name in cards[0].values if name not in measured)
    assert "navel" in head and "Gordon et al. 2014" in head
