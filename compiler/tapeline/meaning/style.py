"""A style that can be drafted: its linked tree, and a plan for each course of its forks, lowered when first needed.

`read` links a style with its libraries.  `check` lowers every course that its yes/no forks allow (within a bound)
and gathers what is wrong; only then may a plan be run.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import contextmanager
from typing import TYPE_CHECKING, NamedTuple

from ..source.diagnostics import Diagnostic, has_errors, in_order
from ..source.text import Source
from ..source.world import World

if TYPE_CHECKING:  # reading a text takes the parser; a style that was kept does without
    from .kept import Kept
    from .library import Linked
    from .plan import Plan

MOST_COURSES = 32
DEEPEST = 10_000  # calls of this program inside each other


class Course(NamedTuple):
    """A style read for one outcome of each of its forks."""

    plan: Plan
    diagnostics: list[Diagnostic]


class Style:
    """A linked style.  `course(outcomes)` lowers it for one course; courses are kept.

    `sources` are the texts of the style and of the libraries it uses, the style first.  `kept` is what an earlier start of the
    program left of this style, if anything; then `linked` is called only for a course that is not in it.
    """

    def __init__(self, sources: tuple[Source, ...], linked: Callable[[], Linked], kept: Kept | None = None):
        self.source, self.sources, self.kept = sources[0], sources, kept
        self._linked = linked
        self._courses: dict[tuple, Course] = {}
        self.checked: list[tuple] = []  # the courses that the check went through
        self._measured: tuple[dict, list] | None = None

    def course(self, outcomes: dict) -> Course:
        key = _key(outcomes)
        if key not in self._courses:
            course = self.kept.course(key) if self.kept is not None else None
            if course is None:
                course = self._lowered(key)
                if self.kept is not None:
                    self.kept.add(key, course)
            self._courses[key] = course
        return self._courses[key]

    def _lowered(self, key: tuple) -> Course:
        from .program import Program

        with _deeper():
            program = Program(self._linked(), dict(key))
            plan = program.plan()
        if not key:
            self._measured = program.measurements, program.doubts
        return Course(plan, in_order(program.bench.diagnostics))

    def plan(self, outcomes: dict | None = None) -> Plan:
        return self.course(outcomes or {}).plan

    def plans(self) -> list[Plan]:
        """The plans of every course that the check went through, those of the `when` rules, the usual one first."""
        return [self.course(dict(key)).plan for key in self.checked or ((),)]

    @property
    def needed(self) -> tuple[str, ...]:
        """Every measure that it needs in any course of its rules."""
        return tuple(dict.fromkeys(name for plan in self.plans() for name in plan.measures))

    def measured(self) -> tuple[dict, list]:
        """(measurements, doubts): what the style and its libraries say of bodies."""
        if self._measured is None:
            self._measured = self.kept.measured() if self.kept is not None else None  # None again where it is spoiled
        if self._measured is None:
            self._lowered(())
        return self._measured

    @property
    def measurements(self) -> dict:
        return self.measured()[0]

    @property
    def doubts(self) -> list:
        return self.measured()[1]

    def check(self) -> list[Diagnostic]:
        """Everything wrong in any course; each said once."""
        found: list[Diagnostic] = []
        waiting, seen, done = [{}], set(), 0
        while waiting and done < MOST_COURSES:
            outcomes = waiting.pop(0)
            plan, diagnostics = self.course(outcomes)
            self.checked.append(_key(outcomes))
            found += diagnostics
            done += 1
            for fork in plan.forks:  # a condition holds until it is set: only those that fail tell courses apart
                if fork.kind != "when" or fork.key in outcomes:
                    continue
                branch = {**outcomes, fork.key: False}
                mark = _key(branch)
                if mark not in seen:
                    seen.add(mark)
                    waiting.append(branch)
        return in_order(found)

    def examined(self, run: Callable[[Style], list[Diagnostic]]) -> tuple[int, list[Diagnostic]]:
        """(how many worked examples a checked style has, what `run` finds wrong with them)."""
        known = self.kept.examined() if self.kept is not None else None
        if known is None:
            count = len({example.span for plan in self.plans() for example in plan.examples})
            known = count, run(self) if count else []
            if self.kept is not None:
                self.kept.add_examined(*known)
        return known


def _key(outcomes: dict) -> tuple:
    """What tells a course from others: a condition holds until it is said not to."""
    return tuple(sorted((fork, outcome) for fork, outcome in outcomes.items() if outcome is not True))


@contextmanager
def _deeper():
    """Room for names that are built inside each other, each some ten calls deep."""
    before = sys.getrecursionlimit()
    sys.setrecursionlimit(max(before, DEEPEST))
    try:
        yield
    finally:
        sys.setrecursionlimit(before)


def read(source: Source, world: World) -> tuple[Style | None, list[Diagnostic]]:
    """A style from its text, checked in every course.  None where it cannot be drafted."""
    from .library import link

    linked, diagnostics = link(source, world)
    if linked is None:
        return None, in_order(diagnostics)
    style = Style((source, *(module.parsed.source for module in linked.libraries)), lambda: linked)
    try:
        diagnostics = in_order([*diagnostics, *style.check()])
    except RecursionError:
        return None, in_order(
            [
                *diagnostics,
                Diagnostic(
                    "N213",
                    "The rules of the style rest on each other too deeply",
                    linked.style.heading.span,
                    "shorter chains of rules",
                    "a chain that cannot be followed",
                    "Say the rules in the order in which they rest on each other, in shorter steps.",
                ),
            ]
        )
    return (None if has_errors(diagnostics) else style), diagnostics
