"""A style that can be drafted, and the check that a text goes through to become one.

`check` links a text with its libraries and lowers every course that its yes/no forks allow, within a bound: first the usual
one, then each with a condition turned off, breadth first.  It gives back all that it found, whatever is wrong with the text.
Only where nothing is wrong is there a `Style`, which knows the courses of the check and asks its `Courses` for any
other (a number of darts) when it is first wanted.  Where courses come from, the trees or an earlier start of the
program, a style does not know.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from ..source.diagnostics import Diagnostic, has_errors, in_order
from ..source.text import Source, Span
from ..source.world import World

if TYPE_CHECKING:  # reading a text takes the parser; a style that was kept does without
    from ..bodies.measurement import Doubt, Measurement
    from .fittings import DatedFitting
    from .index import Symbols
    from .library import Linked
    from .plan import Plan

MOST_COURSES = 32

Outcome = bool | int  # whether a condition holds, or how many of something there are
Question = tuple[Any, ...]  # as `plan.Fork.question`
CourseKey = tuple[tuple[Question, Outcome], ...]
USUAL: CourseKey = ()


class Course(NamedTuple):
    """A style read for one outcome of each of its forks."""

    plan: Plan
    diagnostics: list[Diagnostic]


class Measured(NamedTuple):
    """What the style and its libraries say of bodies."""

    measurements: Mapping[str, Measurement]
    doubts: list[Doubt]


class Courses(Protocol):
    """Where the courses of a style come from."""

    def course(self, key: CourseKey) -> Course: ...

    def measured(self) -> Measured: ...

    def fingerprints(self) -> tuple[str, dict[str, str]]: ...


class Style:
    """A style in order.  `course(outcomes)` reads it for one course, once.

    `sources` are the texts of the style and of the libraries it uses, the style first; `checked` tells the courses that the
    check went through, the usual one first.  `fittings` are those that were set into it, and `unfitted` is the style without them.
    """

    def __init__(
        self,
        sources: tuple[Source, ...],
        checked: tuple[CourseKey, ...],
        courses: Courses,
        fittings: tuple[DatedFitting, ...] = (),
        unfitted: Style | None = None,
    ):
        self.source, self.sources, self.checked = sources[0], sources, checked
        self.fittings, self.unfitted = fittings, unfitted
        self._courses = courses
        self._read: dict[CourseKey, Course] = {}
        self._measured: Measured | None = None
        self._fingerprints: tuple[str, dict[str, str]] | None = None

    def course(self, outcomes: Mapping[Question, Outcome]) -> Course:
        key = course_key(outcomes)
        if key not in self._read:
            self._read[key] = self._courses.course(key)
        return self._read[key]

    def plan(self, outcomes: Mapping[Question, Outcome] | None = None) -> Plan:
        return self.course(outcomes or {}).plan

    def plans(self) -> list[Plan]:
        """The plans of every course that the check went through, those of the `when` rules, the usual one first."""
        return [self.course(dict(key)).plan for key in self.checked]

    @property
    def needed(self) -> tuple[str, ...]:
        """Every measure that it needs in any course of its rules."""
        return tuple(dict.fromkeys(name for plan in self.plans() for name in plan.measures))

    def measured(self) -> Measured:
        if self._measured is None:
            self._measured = self._courses.measured()
        return self._measured

    @property
    def fingerprint(self) -> str:
        """One short word for all its rules (see `meaning.fingerprint`)."""
        return self.fingerprints[0]

    @property
    def fingerprints(self) -> tuple[str, dict[str, str]]:
        """That word, and one for each part: the style's own rules under "", what is used of a library under its name."""
        if self._fingerprints is None:
            self._fingerprints = self._courses.fingerprints()
        return self._fingerprints

    @property
    def measurements(self) -> Mapping[str, Measurement]:
        return self.measured().measurements

    @property
    def doubts(self) -> list[Doubt]:
        return self.measured().doubts


def course_key(outcomes: Mapping[Question, Outcome]) -> CourseKey:
    """What tells a course from others: a condition holds until it is said not to."""
    return tuple(sorted(((asked, outcome) for asked, outcome in outcomes.items() if outcome is not True), key=repr))


# ------------------------------------------------------------------------------------------------------ reading a text


class Lowered(NamedTuple):
    """One course, and what was noted on the way."""

    course: Course
    measured: Measured
    symbols: Symbols


def lowered(linked: Linked, key: CourseKey) -> Lowered:
    from .index import symbols_of
    from .program import Program

    program = Program(linked, dict(key))
    try:
        program.enter()
        plan = program.plan()
    except RecursionError:  # the caller had gone deep already: what was noted till here is kept
        program.lowering.diagnostics.append(_too_deep(linked.style.heading.head))
        plan = program.plan_so_far()
    course = Course(plan, in_order(program.lowering.diagnostics))
    result = Lowered(course, Measured(program.measurements, program.doubts), symbols_of(program))
    program.let_go()
    return result


class FromTrees:
    """Courses of a linked style: those that were lowered, and any other on demand."""

    def __init__(self, linked: Linked, known: Mapping[CourseKey, Lowered]):
        self.linked = linked
        self._known = {key: result.course for key, result in known.items()}
        self._measured = known[USUAL].measured

    def course(self, key: CourseKey) -> Course:
        return self._known[key] if key in self._known else lowered(self.linked, key).course

    def measured(self) -> Measured:
        return self._measured

    def fingerprints(self) -> tuple[str, dict[str, str]]:
        from .fingerprint import fingerprints

        return fingerprints(self.linked)


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """What has come of a text: its trees (None where it has no heading, or is no style), every course that was lowered, all
    that is wrong, and the style, if nothing is."""

    linked: Linked | None
    courses: Mapping[CourseKey, Lowered]
    diagnostics: list[Diagnostic]
    style: Style | None


def check(source: Source, world: World) -> Checked:
    """Link a text with its libraries and lower every course; each mistake is said once."""
    with _uncollected():
        return _check(source, world)


def _check(source: Source, world: World) -> Checked:
    from .library import link

    linked, diagnostics = link(source, world)
    if linked is None:
        return Checked(None, {}, in_order(diagnostics), None)
    courses: dict[CourseKey, Lowered] = {}
    _lower_all(linked, courses)
    for result in courses.values():
        diagnostics += result.course.diagnostics
    diagnostics = in_order([*diagnostics, *_never_read(courses)])
    if has_errors(diagnostics):
        return Checked(linked, courses, diagnostics, None)
    return Checked(linked, courses, diagnostics, _style(source, linked, courses))


def _style(source: Source, linked: Linked, courses: Mapping[CourseKey, Lowered]) -> Style:
    sources = [source, *(module.parsed.source for module in linked.libraries)]
    fitted = linked.fittings
    if fitted is None:
        return Style(tuple(sources), tuple(courses), FromTrees(linked, courses))
    from .fittings import dated

    before = replace(linked, style=replace(linked.style, started=fitted.before), fittings=None)
    unfitted = Style(tuple(sources), (USUAL,), FromTrees(before, {USUAL: lowered(before, USUAL)}))
    sources.insert(1, fitted.source)
    return Style(tuple(sources), tuple(courses), FromTrees(linked, courses), tuple(map(dated, fitted.fittings)), unfitted)


def _never_read(courses: Mapping[CourseKey, Lowered]) -> list[Diagnostic]:
    """What is wrong with examples that no course can read."""
    wrong: dict[Span, list[Diagnostic]] = {}
    readable = set()
    for result in courses.values():
        for example in result.course.plan.examples:
            if example.wrong:
                wrong.setdefault(example.span, list(example.wrong))
            else:
                readable.add(example.span)
    return [diagnostic for span, found in wrong.items() if span not in readable for diagnostic in found]


def _lower_all(linked: Linked, courses: dict[CourseKey, Lowered]) -> None:
    """Add each course in turn, while there are not too many: a condition holds until it is set, so only those that fail tell
    courses apart, and only where what failed before leaves it open."""
    waiting: list[dict[Question, Outcome]] = [{}]
    seen = {USUAL}
    while waiting and len(courses) < MOST_COURSES:
        outcomes = waiting.pop(0)
        result = lowered(linked, course_key(outcomes))
        courses[course_key(outcomes)] = result
        for fork in result.course.plan.forks:
            branch = {**outcomes, fork.question: False}
            if fork.kind == "when" and not fork.answered and course_key(branch) not in seen:
                seen.add(course_key(branch))
                waiting.append(branch)


@contextmanager
def _uncollected() -> Iterator[None]:
    """No garbage is looked for in between: all that a reading makes is in use until its end, and there is much of it."""
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            if not gc.get_freeze_count():  # else it would undo what somebody keeps from being looked at for good
                gc.freeze()
                gc.unfreeze()  # what is left counts as old at once, and is not looked through for being new
            gc.enable()


def _too_deep(place: Span) -> Diagnostic:
    room = sys.getrecursionlimit()
    return Diagnostic(
        "N213",
        "The rules rest on each other too deeply to be read from here",
        place,
        f"rules that can be followed in the {room} calls that Python allows inside each other",
        f"more than {room}, with those of the program that asks",
        "Read the style from a place less deep in that program, or say the rules in shorter steps.",
    )


def read(source: Source, world: World) -> tuple[Style | None, list[Diagnostic]]:
    """A style from its text, checked in every course.  None where it cannot be drafted."""
    checked = check(source, world)
    return checked.style, checked.diagnostics
