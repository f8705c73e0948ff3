"""What a probe has found, in words for a terminal or a file, and as plain data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from textwrap import wrap

from ..geometry.arrays import Floats
from ..source.diagnostics import as_data, render
from .cases import Case, command_of, file_name
from .probe import AS_USUAL, BY_PROOF, OVER_RANGES, WITH_CHOICES, Probe
from .proving import DRAWN, FALSE, OPEN, PROVED, Finding, Proof
from .shrink import Margin
from .spread import Variable

WIDE = 110
MOST_LISTED = 12  # margins of one body, and bodies of one list


def origin_words(probe: Probe, origin: str) -> str:
    return {
        OVER_RANGES: "bodies spread over the declared ranges",
        AS_USUAL: f"the population {probe.population}",
        WITH_CHOICES: f"the population {probe.population}, other choices",
        BY_PROOF: "bodies found by proof",
    }[origin]


def text_of(probe: Probe, cases: Sequence[Case], style: str, folder: str | None) -> str:
    """The whole report.  `style` is how the command named it; the cards of failing bodies go into `folder`."""
    plan = probe.style.plan()
    lines = [f"{plan.title or plan.name}: {sum(sample.drafted for sample in probe.samples)} bodies drafted", ""]
    lines += _samples(probe) + ["", *_middle(probe), ""]
    if not probe.fails:
        lines += ["No body fails.", ""]
    else:
        kinds = f"{len(cases)} kind{'s' if len(cases) != 1 else ''}"
        lines += [f"{kinds} of failure, those of the population first, then the most frequent"]
        for case in cases:
            lines += ["", *_case(probe, case, style, folder)]
        lines.append("")
        left = len({kind for sample in probe.samples for kind in set(sample.kinds.tolist()) if kind >= 0}) - len(cases)
        if left > 0:
            lines += [f"{left} rarer kind{'s are' if left > 1 else ' is'} not shown; mend these and probe again.", ""]
    lines += _proofs(probe, cases)
    lines += _finds(probe)
    lines += _cautions(probe)
    return "\n".join(lines).rstrip() + "\n"


_LEFT_OUT = {AS_USUAL: "whole or not believable"}  # rows of a table


def _samples(probe: Probe) -> list[str]:
    lines = []
    for sample in probe.samples:
        passed = sample.drafted - sample.failed
        lines.append(
            f"  {origin_words(probe, sample.origin) + ':':<48} {passed} of {sample.drafted} pass"
            + (f", {sample.left_out} left out as not {_LEFT_OUT.get(sample.origin, 'believable')}" if sample.left_out else "")
        )
    return lines


def _middle(probe: Probe) -> list[str]:
    shown = ", ".join(_figure(variable, value, probe.unit) for variable, value in zip(probe.variables, probe.middle, strict=True))
    outcome = "passes" if probe.middle_passes else "fails, as does every other body tried"
    lines = _wrapped(f"The middle body, which {outcome}: {shown}." if shown else "The style has neither measures nor choices.")
    if probe.lacking:
        lines += _wrapped(f"The population has no {', '.join(probe.lacking)}: there the middle body's figure stands for everyone's.")
    return lines


def _case(probe: Probe, case: Case, style: str, folder: str | None) -> list[str]:
    counts = ", ".join(
        f"{count} of {sample.drafted} {_briefly(sample.origin)}"
        for sample in probe.samples
        if (count := case.counts[sample.origin]) or sample.origin in (OVER_RANGES, AS_USUAL)
    )
    lines = [f"{case.number}  {case.kind.code} at {case.kind.place}: {counts}"]
    differs: list[str] = []
    others: list[str] = []
    for k, variable in enumerate(probe.variables):
        shown = _figure(variable, case.simplest.body[k], probe.unit)
        (differs if k in case.simplest.differs else others).append(shown)
    if differs:
        lines += _indented(f"simplest body: {', '.join(differs)}")
        lines += _indented(f"otherwise the middle body: {', '.join(others)}") if others else []
    else:
        lines += _indented("the middle body itself fails so")
    lines += ["     " + line for line in render(case.diagnostic).split("\n")]
    margins = sorted(case.simplest.margins, key=lambda margin: not margin.differs)
    if margins:
        lines.append("   how far, the rest as here:")
        lines += [f"     {margin_words(margin, probe.unit)}" for margin in margins[:MOST_LISTED]]
        if len(margins) > MOST_LISTED:
            lines.append(f"     and {len(margins) - MOST_LISTED} other figures that would let it pass")
    for beside in case.also:
        lines += _indented(
            f"also {beside.code}: {beside.title}" + (f" ({beside.span.source.name}:{beside.span.line})" if beside.span else "")
        )
    if folder is not None:
        lines += [f"   to see it: {command_of(probe, case, style, folder)}"]
    return lines


_UNBROKEN = "\u00a0"  # between a name, its figure and the unit


def _figure(variable: Variable, value: float, unit: str) -> str:
    return f"{variable.name} {variable.show(value, unit)}".replace(" ", _UNBROKEN)


def _wrapped(words: str, first: str = "", others: str = "") -> list[str]:
    return [line.replace(_UNBROKEN, " ") for line in wrap(words, WIDE, initial_indent=first, subsequent_indent=others)]


def _indented(words: str) -> list[str]:
    return _wrapped(words, "   ", "     ")


def _briefly(origin: str) -> str:
    return {
        OVER_RANGES: "over the ranges",
        AS_USUAL: "of the population",
        WITH_CHOICES: "of it with other choices",
        BY_PROOF: "found by proof",
    }[origin]


def margin_words(margin: Margin, unit: str) -> str:
    """Between which two figures a measure goes from failing to passing."""
    fails, passes = (margin.variable.show(value, unit) for value in (margin.fails, margin.passes))
    if margin.variable.word == "condition":
        return f"{margin.variable.name}: {passes} passes, {fails} fails"
    below = margin.passes < margin.fails
    first, second = (passes, "passes"), (fails, "fails")
    if not below:
        first, second = second, first
    return f"{margin.variable.name} up to {first[0]} {first[1]}, from {second[0]} {second[1]}"


def _proofs(probe: Probe, cases: Sequence[Case]) -> list[str]:
    """What is proved, what is false, what is only sampled."""
    groups: dict[str, list[str]] = {}
    for proof in probe.proofs:
        where = f"{proof.claim.span.source.name}:{proof.claim.span.line}"
        words = f"{where}  {proof.claim.words}"
        groups.setdefault(_standing(proof), []).append(words + _example(probe, cases, proof))
    lines = []
    for heading in _STANDINGS.values():
        claims = groups.get(heading, [])
        if claims:
            lines += [f"{heading}:"]
            for claim in dict.fromkeys(claims):
                lines += _wrapped(claim, "  ", "      ")
            lines.append("")
    total = sum(sample.drafted for sample in probe.samples)
    lines += _wrapped(
        f"What is not said here to be proved is sampled, on {total} bodies: outlines, darts, seam allowances, and whatever "
        "rests on a curve, a dart or a find."
    )
    if any(proof.over_population is not None for proof in probe.proofs):
        spans = [
            f"{_figure(variable, low, probe.unit)} to {variable.show(high, probe.unit)}"
            for variable, low, high in probe.population_ranges
        ]
        lines += _wrapped("The population's ranges: " + ", ".join(spans) + ".")
    return [*lines, ""]


_STANDINGS = {
    PROVED: "Proved over the whole of the declared ranges",
    "met": "Proved over the population's ranges, but not over the declared ones",
    FALSE: "False for some bodies",
    OPEN: "Not settled by proof, only sampled",
    DRAWN: "Rests on a curve, a dart or a find: only sampled",
}


def standing(proof: Proof) -> str:
    """proved, met (proved over the population's ranges), false, not settled or drawn."""
    if proof.declared.state in (PROVED, DRAWN):
        return proof.declared.state
    return "met" if proof.over_population is not None and proof.over_population.state == PROVED else proof.declared.state


def _standing(proof: Proof) -> str:
    return _STANDINGS[standing(proof)]


def _example(probe: Probe, cases: Sequence[Case], proof: Proof) -> str:
    place = f"{proof.claim.span.source.name}:{proof.claim.span.line}"
    case = next((shown for shown in cases if (shown.kind.code, shown.kind.place) == (proof.claim.code, place)), None)
    if proof.declared.state == FALSE:
        return f" (failure {case.number})" if case is not None else _witness(probe, proof.declared)
    return f" (open over {100 * proof.declared.share:.2g} % of the ranges)" if proof.declared.state == OPEN else ""


def _witness(probe: Probe, finding: Finding) -> str:
    if finding.witnesses is None or not len(finding.witnesses):
        return ""
    shown = ", ".join(
        _figure(variable, value, probe.unit) for variable, value in zip(probe.variables, finding.witnesses[0], strict=True)
    )
    return f" (false for {shown})"


def _cautions(probe: Probe) -> list[str]:
    if not probe.cautions:
        return []
    lines = ["Cautions, which let a body pass:"]
    for number, count in probe.cautions.most_common():
        kind = probe.kinds[number]
        caution = f"{kind.place}  {kind.title}: {count} bod{'y' if count == 1 else 'ies'}"
        lines += _wrapped(caution, "  ", "      ")
    return [*lines, ""]


def _finds(probe: Probe) -> list[str]:
    lines: list[str] = []
    for several in probe.finds.several:
        lines.append(f"Several values fit, of {several.bodies} of {several.looked} bodies looked at; of one of them:")
        lines += ["     " + line for line in render(several.first).split("\n")] + [""]
    for heading, leaps in (
        ("Finds that leap as one figure grows, the others as in the middle body:", [x for x in probe.finds.leaps if not x.condition]),
        ("Finds that leap where the rules change, as one figure grows:", [x for x in probe.finds.leaps if x.condition]),
    ):
        lines += _wrapped(heading) if leaps else []
        for leap in leaps:
            lines += _wrapped(f"{leap.span.source.name}:{leap.span.line}  {leap.words(probe.unit)}", "  ", "      ")
        lines += [""] if leaps else []
    return lines


def data_of(probe: Probe, cases: Sequence[Case]) -> dict[str, object]:
    """The same as plain data, figures in millimetres, degrees and plain numbers."""

    def figure(variable: Variable, value: float) -> float:
        return round(math.degrees(value) if variable.word == "angle" else float(value), 4)

    def figures(body: Floats) -> dict[str, float]:
        return {variable.name: figure(variable, value) for variable, value in zip(probe.variables, body, strict=True)}

    return {
        "bodies": [
            {"origin": sample.origin, "drafted": sample.drafted, "failed": sample.failed, "left_out": sample.left_out}
            for sample in probe.samples
        ],
        "population": probe.population,
        "not_in_population": probe.lacking,
        "middle": figures(probe.middle),
        "middle_passes": probe.middle_passes,
        "failures": [
            {
                "code": case.kind.code,
                "rule": case.kind.place,
                "counts": case.counts,
                "body": figures(case.simplest.body),
                "differs": [probe.variables[k].name for k in case.simplest.differs],
                "margins": [
                    {
                        "name": margin.variable.name,
                        "fails": figure(margin.variable, margin.fails),
                        "passes": figure(margin.variable, margin.passes),
                        "differs": margin.differs,
                    }
                    for margin in case.simplest.margins
                ],
                "card": file_name(probe, case),
                "diagnostic": as_data(case.diagnostic),
                "also": [as_data(beside) for beside in case.also],
            }
            for case in cases
        ],
        "proofs": [
            {
                "code": proof.claim.code,
                "rule": f"{proof.claim.span.source.name}:{proof.claim.span.line}",
                "claim": proof.claim.words,
                "over_declared_ranges": proof.declared.state,
                "over_population_ranges": proof.over_population.state if proof.over_population is not None else None,
            }
            for proof in probe.proofs
        ],
        "finds": {
            "several": [
                {"bodies": several.bodies, "of": several.looked, "diagnostic": as_data(several.first)}
                for several in probe.finds.several
            ],
            "leaps": [
                {
                    "name": leap.name,
                    "rule": f"{leap.span.source.name}:{leap.span.line}",
                    "where": leap.variable.name,
                    "at": figure(leap.variable, leap.at),
                    "from": leap.before,
                    "to": leap.after,
                    "condition": leap.condition or None,
                }
                for leap in probe.finds.leaps
            ],
        },
        "cautions": [
            {"rule": probe.kinds[number].place, "title": probe.kinds[number].title, "bodies": count}
            for number, count in probe.cautions.most_common()
        ],
    }
