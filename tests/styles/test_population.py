"""Every style for every woman of two open surveys: a true pattern, or a refusal that says why; never a silent bad one.

    python tests/styles/test_population.py [STYLE ...]             the share refused for each style, and for which reasons
    python tests/styles/test_population.py --spread [STYLE ...]    the same with each woman's choices elsewhere in their ranges

Who the women are, and what is estimated of their measures, `population.py` says.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np
import pytest
import shapely
from population import ANSUR, ESTIMATES, SURVEYS, Bodies, ansur2
from tried import EVERY, STYLES, Tried, few, style_of, women

from tapeline.drafting.roots import several_of
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.finishing.whole import drafted_whole
from tapeline.probing.spread import choices_spread, variables_of

SLACK = 25.4 / 16 + 0.01  # 1/16 in, and what points on a curve lose of its length
MOST_REFUSED = 0.5  # our judgement: what refuses every second woman is not a style for women


@dataclass
class Outcome:
    """What became of one style for one survey."""

    bodies: int
    refused: np.ndarray  # (N,)
    reasons: Counter  # "code title" -> bodies; a body may be refused for several
    estimated: dict[str, str]
    wrong: list[str]  # patterns given out that are not true, and refusals without a reason


def unmeasured(style, bodies: Bodies) -> list[str]:
    return [measure for measure in style.plan().measures if measure not in bodies.values]


def spread_choices(style, n: int) -> dict[str, np.ndarray]:
    """The style's choices for n bodies, evenly spread over their ranges as `probe` spreads them."""
    variables = variables_of(style, {})
    table = choices_spread(np.zeros((n, len(variables))), variables)
    return {variable.name: table[:, k] for k, variable in enumerate(variables) if variable.choice}


def try_on(style, bodies: Bodies, spread: bool = False) -> Outcome:
    """Draft and finish a style for all women of a survey, and look at every pattern that is given out."""
    measures = {name: bodies.values[name] for name in style.plan().measures}
    n = len(bodies.values["height"])
    wholes = drafted_whole(style, measures, spread_choices(style, n) if spread else None)
    return judged(style, bodies, [Tried(whole, np.arange(len(whole.index)), whole.index) for whole in wholes])


def judged(style, bodies: Bodies, tried: list[Tried]) -> Outcome:
    """What became of these women."""
    refused, reasons, wrong = np.zeros(len(bodies.values["height"]), dtype=bool), Counter(), []
    for whole, places, numbers in tried:
        number_of = dict(zip(places.tolist(), numbers.tolist(), strict=True))
        said = {place: set() for place in number_of}
        for failure in whole.failures:
            if failure.severity != "error":
                continue
            for i in places[failure.bodies[places]].tolist():
                title = failure.diagnostic(i).title
                said[i].add(f"{failure.code} {title}")
                if len(title.split()) < 3:
                    wrong.append(f"woman {number_of[i]}: {failure.code} gives no reason but {title!r}")
        reasons.update(reason for one in said.values() for reason in one)
        here = np.array([bool(said[place]) for place in number_of])
        refused[numbers] = here
        wrong += [f"woman {number_of[i]}: {what}" for i, what in untrue(whole.draft, whole.finished, places[~here])]
    estimated = {m: s for m, s in bodies.estimated.items() if m in style.plan().measures}
    return Outcome(len(refused), refused, reasons, estimated, wrong)


def untrue(drafted, finished, kept):
    """(body, what is wrong) for patterns among those kept: outlines, cut lines, seams."""
    for done in finished.pieces:
        name, ring = done.piece.name, done.piece.stitch_outline().flatten()[kept]
        cut = done.cut_line[kept]
        drawn = np.isfinite(ring).all(axis=(1, 2)) & np.isfinite(cut).all(axis=(1, 2))
        yield from ((kept[i], f"{name} is not drawn throughout") for i in np.flatnonzero(~drawn))
        ring, cut, those = ring[drawn], cut[drawn], kept[drawn]
        gap = np.linalg.norm(ring[:, 0] - ring[:, -1], axis=1)
        yield from ((those[i], f"{name} is open by {gap[i]:.3g} mm") for i in np.flatnonzero(gap > 0.001))
        net = shapely.remove_repeated_points(shapely.polygons(ring), 1e-6)
        whole = shapely.remove_repeated_points(shapely.polygons(cut), 1e-6)
        sound = shapely.is_valid(net) & shapely.is_valid(whole)
        yield from ((those[i], f"{name} crosses itself") for i in np.flatnonzero(~sound))
        outside = shapely.area(net[sound]) - shapely.area(shapely.intersection(net[sound], whole[sound]))
        yield from ((those[sound][i], f"{name} is cut inside its stitching") for i in np.flatnonzero(outside > 1.0))
    for seam in drafted.pattern.seams:
        off, sides = apart(drafted.pattern, seam), " to ".join(" and ".join(map(".".join, side)) for side in (seam.one, seam.other))
        for i in kept:
            if not abs(off[i]) <= SLACK:  # NaN is wrong as well
                yield i, f"{sides}: {off[i]:.2f} mm apart"


def apart(pattern, seam) -> np.ndarray:
    """How much longer the first side of a seam is than meant, for one instance where all its pieces are cut alike often.

    Added up again from points on the sewn edges, not from the ledger.
    """
    times = [
        [said if said is not None else pattern.piece(piece).cut.instances for (piece, _), said in zip_longest(side, counts)]
        for side, counts in zip((seam.one, seam.other), seam.counts, strict=True)
    ]
    shared = times[0][0] if len({*times[0], *times[1]}) == 1 else 1
    one, other = (
        sum(count / shared * walked(pattern.piece(piece).edge(edge).closed) for count, (piece, edge) in zip(counts, side, strict=True))
        for counts, side in zip(times, (seam.one, seam.other), strict=True)
    )
    longer = one - other - seam.ease
    return np.minimum(longer, 0.0) if seam.kind == "gathered" else longer


def walked(path) -> np.ndarray:
    return np.linalg.norm(np.diff(path.flatten(), axis=1), axis=2).sum(axis=1)


def told(name: str, survey: str, outcome: Outcome) -> str:
    share = 100 * outcome.refused.mean()
    lines = [f"{name}, {survey}: {outcome.refused.sum()} of {outcome.bodies} refused ({share:.1f} %)"]
    lines += [f"    {count:5d}  {reason}" for reason, count in outcome.reasons.most_common(4)]
    if outcome.estimated:
        lines.append("    estimates, not measured: " + ", ".join(outcome.estimated))
    return "\n".join(lines)


@pytest.mark.parametrize("survey", SURVEYS)
@pytest.mark.parametrize("name", STYLES)
def test_every_woman_gets_a_true_pattern_or_a_reason(name, survey):
    style, bodies = style_of(name), few(survey)
    lacking = unmeasured(style, bodies)
    if lacking:
        pytest.skip(f"{survey} has no {', '.join(lacking)}, nor is there a source to estimate it from")
    outcome = judged(style, bodies, women(name, survey))
    print("\n" + told(name, survey, outcome))
    assert not outcome.wrong, outcome.wrong[:10]
    assert outcome.refused.mean() <= MOST_REFUSED


@pytest.mark.parametrize("name", STYLES)
def test_of_every_find_one_value_fits_a_woman(name):
    style, bodies = style_of(name), ansur2().every(1 if EVERY else 64)
    lacking = unmeasured(style, bodies)
    if lacking:
        pytest.skip(f"ANSUR II has no {', '.join(lacking)}, nor is there a source to estimate it from")
    measures = {name: bodies.values[name] for name in style.plan().measures}
    women = [f"woman {number}" for number in range(len(bodies.values["height"]))]
    assert several_of(style, measures, {}, "cm", women) == []


@pytest.mark.parametrize("survey", SURVEYS)
def test_wide_allowances_over_darts_are_cut_for_every_woman(survey):
    """The corselet skirt has three darts in a top edge that is dipped by up to 10 cm, with its choices anywhere in their ranges."""
    outcome = try_on(style_of("corselet_skirt"), few(survey), spread=True)
    assert not outcome.wrong, outcome.wrong[:10]
    assert not [reason for reason in outcome.reasons if reason.startswith("T")]


@pytest.mark.parametrize("name", ["tunic", "strapless_bodice", "peter_pan_blouse", "six_gore_skirt"])
def test_a_choice_anywhere_in_its_range_leads_to_a_pattern(name):
    """Short sleeves under deep caps, backs lowered to the bust line, bands as wide as the hem that is gathered into them, wide flares
    that begin low: each is drawn as far as it can be sewn."""
    outcome = try_on(style_of(name), few("ANSUR II"), spread=True)
    assert not outcome.wrong, outcome.wrong[:10]
    assert not outcome.reasons


def test_a_short_skirt_of_deep_steps_keeps_its_upper_tier():
    style, bodies = style_of("tiered_skirt"), ansur2().every(500)
    measures = {name: bodies.values[name] for name in style.plan().measures}
    women = np.ones(len(measures["waist"]))
    (drafted,) = draft(style, measures, {"length": 450.0 * women, "step": 80.0 * women})
    assert not drafted.failed.any()
    assert drafted.pattern.piece("upper").edge("centre").closed_length() == pytest.approx(80.0 * women)
    assert drafted.pattern.piece("lower").edge("centre").closed_length() == pytest.approx(220.0 * women)
    assert [failure.code for failure in drafted.failures if failure.severity == "caution" and failure.bodies.all()] == ["D461"]


def test_the_survey_is_the_published_one():
    """Means and SD over the public file (DTIC ADA611869): stature 162.85 (6.42), bust 94.69 (8.27), hip 102.12 (7.59) cm."""
    values = ansur2().values
    assert len(values["height"]) == 1986
    for measure, mean, sd in (("height", 1628.5, 64.2), ("bust", 946.9, 82.7), ("waist", 860.9, 99.9), ("hip", 1021.2, 75.9)):
        assert values[measure].mean() == pytest.approx(mean, abs=0.05)
        assert values[measure].std(ddof=1) == pytest.approx(sd, abs=0.05)


def test_estimates_agree_with_what_ansur2_measured():
    """Where ANSUR II has the measure itself, the regression meets it: no bias, and the residual SD printed with it (cm)."""
    values = ansur2().values
    for measure, source, how in ESTIMATES:
        residual = {
            "neck": 1.4001,
            "shoulder": 0.9437,
            "across_back": 2.2927,
            "arm_length": 1.7873,
            "nape_to_waist": 2.0832,
            "waist_to_hip": 2.3264,
            "waist_to_knee": 1.7641,
            "crotch_depth": 1.9615,
            "nape_to_bust": 2.1832,
        }.get(measure)
        if source == ANSUR and residual:
            error = values[measure] - how(values)
            assert abs(error.mean()) < 0.5, measure
            assert error.std() == pytest.approx(residual * 10, rel=0.01), measure


def test_a_bad_pattern_would_be_seen():
    """The judge itself: a seam stretched behind its back, and an outline that was lost, are both reported."""
    style, bodies = style_of("straight_skirt"), ansur2()
    few = {name: bodies.values[name][:3] for name in style.plan().measures}
    (drafted,) = draft(style, few)
    finished, _ = finish(drafted.pattern)
    kept = np.arange(3)
    assert not list(untrue(drafted, finished, kept))
    seam = drafted.pattern.seams[0]
    seam.ease = seam.ease + np.array([0.0, 3.0, 0.0])
    assert [body for body, what in untrue(drafted, finished, kept) if "apart" in what] == [1]
    finished.pieces[0].cut_line[2] = np.nan
    assert any(body == 2 and "not drawn" in what for body, what in untrue(drafted, finished, kept))


def main(words):
    spread, names = "--spread" in words, [word for word in words if word != "--spread"]
    for name in names or STYLES:
        style = style_of(name)
        for survey, bodies in SURVEYS.items():
            lacking = unmeasured(style, bodies())
            if lacking:
                print(f"{name}, {survey}: not tried, there is no {', '.join(lacking)}")
                continue
            outcome = try_on(style, bodies(), spread)
            print(told(name, survey, outcome))
            for wrong in outcome.wrong[:10]:
                print(f"    WRONG  {wrong}")


if __name__ == "__main__":
    main(sys.argv[1:])
