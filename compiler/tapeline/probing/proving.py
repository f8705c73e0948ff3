"""What can be proved over a whole range of bodies, not only sampled: the style's requirements, the places where
arithmetic can fail, that no allowance is less than nothing, and of what is drawn by straight lines alone that seams come out
and edges go down from level to level.

A claim is looked at over boxes of bodies (`geometry/intervals.py`).  A box in which it surely holds is done with; where the
body in the middle of a box surely fails, she is drafted, and is a witness; the others are cut in two where that tells most,
until all are done with or `MOST_BOXES` have been looked at.  Claims that rest on a curve, a dart or a find are left to
sampling.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import NamedTuple, TypeAlias

import numpy as np

from ..bodies.measurement import Doubt
from ..drafting.assembly import SEAM_TOLERANCE
from ..drafting.operations import OPERATIONS, Term, Test
from ..geometry.arrays import Floats, Mask
from ..geometry.intervals import Boxes, Form, add, bounds_where, constant, scaled, subtract
from ..meaning.plan import Fork, Plan, SeamPlan, Step, needed_steps
from ..meaning.style import Style
from ..source.diagnostics import has_errors
from ..source.text import Span
from ..source.units import UNITS
from .spread import Variable, believed
from .trial import Trial

PROVED, FALSE, OPEN, DRAWN = "proved", "false", "not settled", "drawn"
WORST = (PROVED, DRAWN, OPEN, FALSE)
COMPARED = 1e-3  # what a comparison allows (drafting.arithmetic.compare)
MOST_BOXES = 4096
MOST_COURSES = 32
MOST_WITNESSES = 16


Outcomes: TypeAlias = dict[tuple[str, int, str], bool | int]  # key of a fork -> the outcome taken there
ClaimKey: TypeAlias = tuple[str, str, str]  # code, place, words


class Claim(NamedTuple):
    """Something that must hold of the sum of some terms."""

    code: str
    words: str
    span: Span
    terms: tuple[Term, ...]
    test: Test
    guards: tuple[tuple[int, bool], ...] = ()  # it may fail only bodies for whom these conditions hold

    @property
    def key(self) -> ClaimKey:
        return self.code, f"{self.span.source.name}:{self.span.line}", self.words

    @property
    def slots(self) -> list[int]:
        return [*(term.slot for term in self.terms), *(slot for slot, _ in self.guards)]


class Finding(NamedTuple):
    """How a claim stands over one range of bodies; `share` of the range is not settled."""

    state: str
    share: float = 0.0
    witnesses: Floats | None = None  # (W, V) bodies that fail it


@dataclass(slots=True)
class Proof:
    """A claim over the declared ranges, and, where it is not proved there, over those of the population."""

    claim: Claim
    declared: Finding
    over_population: Finding | None = None

    @property
    def proved(self) -> bool:
        return self.declared.state == PROVED


def claims_of(plan: Plan, varied: Collection[str] = ()) -> list[Claim]:
    """All that the plan requires of its quantities; `varied` choices keep to their ranges as they are varied."""
    claims: list[Claim] = []
    steps = {step.out: step for step in plan.steps}
    for rule in plan.requirements:
        if rule.severity == "error":
            used = f" (asked for at {rule.used.source.name}:{rule.used.line})" if rule.used is not None else ""
            claims.append(Claim("D460", _words(rule.span) + used, rule.span, *_of_condition(steps[rule.condition])))
    for step in plan.steps:
        of_step = OPERATIONS[step.operation].claims
        if of_step is not None and not (step.operation == "choose" and step.options["name"] in varied):
            claims += (
                Claim(claim.code, claim.words, step.span, claim.terms, claim.test, step.guards)
                for claim in of_step(step, _words(step.span))
            )
    edges = {(piece.name, edge): (slot, piece.cut.instances) for piece in plan.pieces for edge, slot in piece.edges}
    for seam in plan.seams:
        claims += _of_seam(seam, edges)
    for allowance in plan.allowances.values():
        if allowance.width is not None:
            claims.append(
                Claim(
                    "T504",
                    f"the allowance of {allowance.edge} is not less than nothing",
                    allowance.span,
                    (Term(allowance.width),),
                    "not negative",
                )
            )
    return claims


def _of_condition(step: Step) -> tuple[tuple[Term, ...], Test]:
    """(terms, test): a comparison as what the one side has more than the other."""
    if step.operation == "compare" and len(step.inputs) == 2 and step.options["relation"] in TESTS:
        left, right = step.inputs
        return (Term(left), Term(right, -1.0)), step.options["relation"]
    return (Term(step.out),), "true"


def _of_seam(seam: SeamPlan, edges: Mapping[tuple[str, str], tuple[int, int]]) -> list[Claim]:
    """That both sides of a seam are of one length, every edge counted as often as its piece is cut."""
    if seam.fitted is not None:  # what a fitting makes the sides differ by may be eased in
        return []
    signed = zip((seam.one, seam.other), seam.counts, (1.0, -1.0), strict=True)
    sides = [(place, count, sign) for side, counts, sign in signed for place, count in zip_longest(side, counts)]
    if any(place not in edges for place, _, _ in sides):
        return []
    counted = [(place, edges[place][1] if count is None else count, sign) for place, count, sign in sides]
    counts = {count for _, count, _ in counted}
    shared = counts.pop() if len(counts) == 1 else 1
    lengths: dict[int, float] = {}
    for place, count, sign in counted:
        slot, _ = edges[place]
        lengths[slot] = lengths.get(slot, 0.0) + sign * count / shared
    terms = tuple(Term(slot, factor, "length") for slot, factor in lengths.items() if factor)
    if not terms:  # an edge sewn to itself
        return []
    if seam.ease is not None:
        terms += (Term(seam.ease, -1.0),)
    return [
        Claim(
            "D450", f"the seam comes out: {_words(seam.span)}", seam.span, terms, "not shorter" if seam.kind == "gathered" else "even"
        )
    ]


def _words(span: Span) -> str:
    return " ".join(span.text.split())


def prove(
    style: Style,
    variables: Sequence[Variable],
    settings: Mapping[str, float],
    trial: Trial,
    middle: Floats,
    women: Floats | None,
) -> list[Proof]:
    """Every claim that some body could break, with what is proved of it."""
    declared = np.array([[variable.low for variable in variables], [variable.high for variable in variables]], dtype=float)
    prover = _Prover(style, list(variables), dict(settings), trial, middle)
    proofs = [Proof(claim, finding) for claim, finding in prover.prove_over(declared).values()]
    if women is not None and any(not proof.proved for proof in proofs):
        population_bounds = np.where(
            [variable.choice for variable in variables], declared, np.stack([women.min(axis=0), women.max(axis=0)])
        )
        unproved = {proof.claim.key for proof in proofs if proof.declared.state in (FALSE, OPEN)}
        population_findings = prover.prove_over(population_bounds, unproved)
        for proof in proofs:
            if proof.claim.key in population_findings:
                proof.over_population = population_findings[proof.claim.key][1]
    return proofs


class _Question(NamedTuple):
    """What is looked at over boxes: a claim of one course, the columns that the boxes vary, and what is known of the course."""

    plan: Plan
    slots: list[int]
    claim: Claim
    forks: list[Fork]
    outcomes: Outcomes
    doubts: list[Doubt]
    compared: list[tuple[int, int, float]]
    columns: list[int]


class _Prover:
    def __init__(self, style: Style, variables: list[Variable], settings: dict[str, float], trial: Trial, middle: Floats) -> None:
        self.style, self.variables, self.settings, self.trial, self.middle = style, variables, settings, trial, middle
        self.column = {variable.name: k for k, variable in enumerate(variables)}

    def prove_over(self, bounds: Floats, only: set[ClaimKey] | None = None) -> dict[ClaimKey, tuple[Claim, Finding]]:
        """Each claim with how it stands in the course in which it stands worst.

        A claim that holds in every course whatever the body is left out.
        """
        findings: dict[ClaimKey, tuple[Claim, Finding]] = {}
        rests_on_body: set[ClaimKey] = set()
        courses, all_of_them = self._courses(bounds)
        for outcomes, plan in courses:
            for claim in claims_of(plan, self.column):
                if only is not None and claim.key not in only:
                    continue
                before = findings.get(claim.key)
                if before is not None and before[1].state == FALSE:
                    continue
                finding = self._settle(plan, outcomes, claim, bounds)
                if finding is None:
                    continue
                if finding.state in (OPEN, FALSE) or self._rests_on_body(plan, claim):
                    rests_on_body.add(claim.key)
                if not all_of_them and finding.state == PROVED:
                    finding = Finding(OPEN, 1.0)
                if before is None or WORST.index(finding.state) > WORST.index(before[1].state):
                    findings[claim.key] = claim, finding
        return {key: pair for key, pair in findings.items() if key in rests_on_body}

    def _courses(self, bounds: Floats) -> tuple[list[tuple[Outcomes, Plan]], bool]:
        """(outcomes and plan of the courses that some body within the bounds may take, whether these are all of them)."""
        waiting: list[Outcomes] = [{}]
        courses: list[tuple[Outcomes, Plan]] = []
        all_of_them = True
        while waiting:
            outcomes = waiting.pop(0)
            plan, diagnostics = self.style.course(outcomes)
            fork = next((fork for fork in plan.forks if not fork.answered and fork.question not in outcomes), None)
            if (
                len(courses) == MOST_COURSES
                or (outcomes and has_errors(diagnostics))
                or (fork is not None and not all(_is_proved(step) for step in needed_steps(plan.steps, [fork.slot])))
            ):
                all_of_them = False
                if len(courses) == MOST_COURSES:
                    break
            elif fork is None:
                courses.append((outcomes, plan))
            else:
                value = self._filled(plan, [fork.slot], bounds[:1], bounds[1:])[1][fork.slot]
                if value.unsure[0]:
                    all_of_them = False
                elif fork.kind == "when":
                    waiting += [
                        {**outcomes, fork.question: answer}
                        for answer, may in ((True, value.high[0] > 0.5), (False, value.low[0] <= 0.5))
                        if may
                    ]
                else:
                    numbers = range(round(value.low[0]), round(value.high[0]) + 1)
                    all_of_them &= len(numbers) <= MOST_COURSES
                    waiting += [{**outcomes, fork.question: number} for number in numbers[:MOST_COURSES]]
        return courses, all_of_them

    def _filled(
        self, plan: Plan, slots: Iterable[int], low: Floats, high: Floats, columns: Sequence[int] | None = None
    ) -> tuple[Boxes, dict[int, Form]]:
        columns = list(range(len(self.variables))) if columns is None else columns
        place = {self.variables[column].name: k for k, column in enumerate(columns)}
        boxes = Boxes(low, high, place, self.settings, UNITS[self.trial.unit].in_inches)
        filled: dict[int, Form] = {}
        carry_out(boxes, needed_steps(plan.steps, slots), filled)
        return boxes, filled

    def _settle(self, plan: Plan, outcomes: Outcomes, claim: Claim, bounds: Floats) -> Finding | None:
        """How a claim stands in one course.  None where no body can change it, not even by taking another course."""
        forks = [fork for fork in plan.forks if fork.question in outcomes]
        slots = [*claim.slots, *(fork.slot for fork in forks)]
        if not all(_is_proved(step) for step in needed_steps(plan.steps, claim.slots)):
            return Finding(DRAWN)
        columns = [
            self.column[name]
            for name in dict.fromkeys(step.options["name"] for step in needed_steps(plan.steps, slots) if self._varies(step))
        ]
        if not columns:
            return None
        doubts = [
            doubt for doubt in self.trial.doubts if all(self.column.get(name) in columns for name in (doubt.measure, doubt.other))
        ]
        held = [*((fork.slot, outcomes[fork.question]) for fork in forks if fork.kind == "when"), *claim.guards]
        question = _Question(plan, slots, claim, forks, outcomes, doubts, _comparisons(plan, held), columns)
        low, high = bounds[:1, columns], bounds[1:, columns]
        whole = np.array([self.variables[k].whole for k in columns])
        widths, looked = (bounds[1] - bounds[0])[columns], 0
        share = 1.0
        while len(low):
            if looked + len(low) > MOST_BOXES:
                return Finding(OPEN, min(1.0, share))
            looked += len(low)
            good, _, here, pull = self._looked_at(question, low, high)
            left = np.flatnonzero(~good & here)
            low, high, pull = low[left], high[left], pull[left]
            share = _volume(low, high, widths, whole)
            # The body in the middle of each box is a box without width: it holds, or it is a witness.
            middles = np.where(whole, np.round((low + high) / 2), (low + high) / 2)
            _, bad, here, _ = self._looked_at(question, middles, middles)
            broken = np.flatnonzero(bad & here)
            if len(broken):
                witnesses = self._witnesses(claim, columns, middles[broken])
                if len(witnesses):
                    return Finding(FALSE, 0.0, witnesses)
            low, high = _cut(low, high, pull, widths, whole)
        return Finding(PROVED)

    def _looked_at(self, question: _Question, low: Floats, high: Floats) -> tuple[Mask, Mask, Mask, Floats]:
        """Masks (B,) and pull (B, V): the claim surely holds, it surely fails in this course, the box has believable bodies
        who may take the course; what bears on the rest."""
        boxes, filled = self._filled(question.plan, question.slots, low, high, question.columns)
        known = [_apart(boxes, filled[left], filled[right], least) for left, right, least in question.compared]
        for doubt in question.doubts:  # of a body who is believed it does not hold
            left, right = boxes.variable(doubt.measure), boxes.variable(doubt.other)
            known.append(_apart(boxes, *((left, right) if doubt.relation == "less than" else (right, left)), 0.0))
        with np.errstate(all="ignore"):
            good, bad = _judged(question.claim, filled, boxes, known)
        here, surely = self._in_course(question.forks, question.outcomes, filled, len(low))
        return good, bad & surely, here & ~self._doubted(question.doubts, question.columns, low, high), boxes.pull

    def _rests_on_body(self, plan: Plan, claim: Claim) -> bool:
        return any(self._varies(step) for step in needed_steps(plan.steps, [term.slot for term in claim.terms]))

    def _varies(self, step: Step) -> bool:
        return step.operation in ("measure", "choose") and step.options["name"] in self.column

    def _in_course(self, forks: Sequence[Fork], outcomes: Outcomes, filled: Mapping[int, Form], boxes: int) -> tuple[Mask, Mask]:
        """Masks (B,): boxes of which some body may take this course, and those of which every body does."""
        may, surely = np.ones(boxes, dtype=bool), np.ones(boxes, dtype=bool)
        for fork in forks:
            value, outcome = filled[fork.slot], outcomes[fork.question]
            if fork.kind == "when":
                yes, no = value.low > 0.5, value.high <= 0.5
                may &= (~no if outcome else ~yes) | value.unsure
                surely &= (yes if outcome else no) & ~value.unsure
            else:
                may &= (value.low <= outcome + 0.5) & (value.high >= outcome - 0.5)
                surely &= (value.low > outcome - 0.5) & (value.high < outcome + 0.5)
        return may, surely

    def _doubted(self, doubts: Sequence[Doubt], columns: Sequence[int], low: Floats, high: Floats) -> Mask:
        """Mask (B,) of the boxes in which no body is believed."""
        none = np.zeros(len(low), dtype=bool)
        for doubt in doubts:
            first, second = (columns.index(self.column[name]) for name in (doubt.measure, doubt.other))
            less, more = (first, second) if doubt.relation == "less than" else (second, first)
            none |= high[:, less] < low[:, more]
        return none

    def _witnesses(self, claim: Claim, columns: Sequence[int], failing: Floats) -> Floats:
        """Of bodies that should fail the claim those who do when they are drafted.

        What the claim does not rest on is as in the middle body, or else small or large, so that no measure is doubted.
        """
        low, high = np.array([variable.low for variable in self.variables]), np.array([variable.high for variable in self.variables])
        tables = []
        for others in (self.middle, low, high):
            table = np.tile(others, (len(failing), 1))
            table[:, columns] = failing
            tables.append(table[believed(table, self.variables, self.trial.doubts)])
        table = next((table for table in tables if len(table)), tables[0])[:MOST_WITNESSES]
        broken: Floats = table[self.trial.fails_in(table, claim.code, claim.span)] if len(table) else table
        return broken


def carry_out(boxes: Boxes, steps: Iterable[Step], filled: dict[int, Form]) -> None:
    """Fill the slots of the steps, all of which must have intervals, for all boxes."""
    with np.errstate(all="ignore"):
        for step in steps:
            if step.out not in filled:
                forms, named = step.arranged(filled)
                filled[step.out] = OPERATIONS[step.operation].over_boxes(boxes, *forms, **named, **step.options)


def _is_proved(step: Step) -> bool:
    return OPERATIONS[step.operation].is_proved(step)


def _sum(terms: Sequence[Term], filled: Mapping[int, Form], boxes: Boxes) -> Form:
    """The sum of the terms, of which there is one at least."""

    def value_of(term: Term) -> Form:
        value: Form = getattr(filled[term.slot], term.part) if term.part else filled[term.slot]
        return value if term.factor == 1.0 else scaled(boxes, value, factor=term.factor)

    total = value_of(terms[0])
    for term in terms[1:]:
        total = add(boxes, total, value_of(term))
    return total


# What a claim asks of its sum: (it surely holds, it surely fails), of the least and the greatest that it can be.
TESTS: dict[Test, Callable[[Floats, Floats], tuple[Mask, Mask]]] = {
    "true": lambda low, high: (low > 0.5, high <= 0.5),
    "not zero": lambda low, high: ((low > 0.0) | (high < 0.0), (low == 0.0) & (high == 0.0)),
    "not negative": lambda low, high: (low >= 0.0, high < 0.0),
    "more than zero": lambda low, high: (low > 0.0, high <= 0.0),
    "at least": lambda low, high: (low >= -COMPARED, high < -COMPARED),
    "at most": lambda low, high: (high <= COMPARED, low > COMPARED),
    "more than": lambda low, high: (low > COMPARED, high <= COMPARED),
    "less than": lambda low, high: (high < -COMPARED, low >= -COMPARED),
    "even": lambda low, high: ((low >= -SEAM_TOLERANCE) & (high <= SEAM_TOLERANCE), (low > SEAM_TOLERANCE) | (high < -SEAM_TOLERANCE)),
    "not shorter": lambda low, high: (low >= -SEAM_TOLERANCE, high < -SEAM_TOLERANCE),
}


def _comparisons(plan: Plan, held: Iterable[tuple[int, bool | int]]) -> list[tuple[int, int, float]]:
    """(slot, other slot, by how much at least the one is more): what conditions with these outcomes say of quantities."""
    steps = {step.out: step for step in plan.steps}
    comparisons, waiting = [], list(held)
    while waiting:
        slot, outcome = waiting.pop()
        step = steps[slot]
        if step.operation == "negated":
            waiting.append((step.inputs[0], not outcome))
        elif step.operation == ("both" if outcome else "either"):
            waiting += [(part, outcome) for part in step.inputs]
        elif step.operation == "compare" and len(step.inputs) == 2:
            relation = step.options["relation"] if outcome else _OPPOSITE[step.options["relation"]]
            left, right = step.inputs
            if relation in ("at least", "more than"):
                comparisons.append((left, right, -COMPARED if relation == "at least" else COMPARED))
            elif relation in ("at most", "less than"):
                comparisons.append((right, left, -COMPARED if relation == "at most" else COMPARED))
    return comparisons


_OPPOSITE = {
    "at least": "less than",
    "less than": "at least",
    "at most": "more than",
    "more than": "at most",
    "is": "is not",
    "is not": "is",
}


def _apart(boxes: Boxes, left: Form, right: Form, least: float) -> Form:
    """What the one has more than the other beyond the least that it must have more."""
    return subtract(boxes, subtract(boxes, left, right), constant(boxes, number=least))


def _judged(claim: Claim, filled: dict[int, Form], boxes: Boxes, known: Sequence[Form]) -> tuple[Mask, Mask]:
    """Masks (B,): the claim surely holds of those for whom the forms in `known` are zero or more, it surely fails."""
    total = _sum(claim.terms, filled, boxes)
    low, high = bounds_where(total, known) if claim.test != "true" else (total.low, total.high)
    good, bad = TESTS[claim.test](low, high)
    if claim.test != "true":
        boxes.undecided(~good & ~bad, total)
    good, bad = good & ~total.unsure, bad & ~total.unsure
    for slot, outcome in claim.guards:
        condition = filled[slot]
        sure, never = (condition.low > 0.5, condition.high <= 0.5)
        if not outcome:
            sure, never = never, sure
        good |= never & ~condition.unsure
        bad &= sure & ~condition.unsure
    return good, bad


def _volume(low: Floats, high: Floats, widths: Floats, whole: Mask) -> float:
    """The share of the whole range that is still in these boxes."""
    extra = np.where(whole, 1.0, 0.0)
    full = widths + extra
    return float(np.prod((high - low + extra) / np.where(full > 0.0, full, 1.0), axis=1).sum()) if len(low) else 0.0


def _cut(low: Floats, high: Floats, pull: Floats, widths: Floats, whole: Mask) -> tuple[Floats, Floats]:
    """Every box cut in two where most that is not settled comes from; a box that cannot be cut is kept as it is."""
    width = high - low
    relative = width / np.where(widths > 0.0, widths, 1.0)
    can = np.where(whole, width > 0.5, relative > 1e-9)
    weight = np.where(can, np.where((pull * can).sum(axis=1, keepdims=True) > 0.0, pull, relative) + 1e-9 * relative, -1.0)
    side = weight.argmax(axis=1)
    rows = np.arange(len(low))
    middle = (low[rows, side] + high[rows, side]) / 2
    left, right = np.where(whole[side], np.floor(middle), middle), np.where(whole[side], np.floor(middle) + 1.0, middle)
    left, right = np.minimum(left, high[rows, side]), np.minimum(right, high[rows, side])
    first_high, second_low = high.copy(), low.copy()
    first_high[rows, side], second_low[rows, side] = left, right
    return np.concatenate([low, second_low]), np.concatenate([first_high, high])
