"""A style that can be drafted: its linked tree, and a plan for each course of its forks, lowered when first needed.

`read` links a style with its libraries.  `check` lowers every course that its yes/no forks allow (within a bound)
and gathers what is wrong; only then may a plan be run.
"""

from __future__ import annotations

import sys
from contextlib import contextmanager

from ..source.diagnostics import Diagnostic, has_errors, in_order
from ..source.text import Source
from ..source.world import World
from .library import Linked, link
from .plan import Plan
from .program import Program

MOST_COURSES = 32
DEEPEST = 10_000  # calls of this program inside each other


class Style:
    """A linked style.  `plan(outcomes)` lowers it for one course; courses are kept."""

    def __init__(self, linked: Linked):
        self.linked = linked
        self.source = linked.style.parsed.source
        self._courses: dict[tuple, tuple[Plan, Program, list[Diagnostic]]] = {}

    def course(self, outcomes: dict) -> tuple[Plan, Program, list[Diagnostic]]:
        key = tuple(sorted(outcomes.items()))
        if key not in self._courses:
            with _deeper():
                program = Program(self.linked, dict(outcomes))
                plan = program.plan()
            self._courses[key] = (plan, program, in_order(program.bench.diagnostics))
        return self._courses[key]

    def plan(self, outcomes: dict | None = None) -> Plan:
        return self.course(outcomes or {})[0]

    def plans(self) -> list[Plan]:
        """The plans lowered so far: once checked, those of every course of the `when` rules, the usual one first."""
        return [self.plan(), *(plan for key, (plan, _, _) in self._courses.items() if key)]

    @property
    def measurements(self):
        return self.course({})[1].measurements

    @property
    def doubts(self):
        return self.course({})[1].doubts

    def check(self) -> list[Diagnostic]:
        """Everything wrong in any course; each said once."""
        found: list[Diagnostic] = []
        waiting, seen, done = [{}], set(), 0
        while waiting and done < MOST_COURSES:
            outcomes = waiting.pop(0)
            plan, _, diagnostics = self.course(outcomes)
            found += diagnostics
            done += 1
            for fork in plan.forks:  # a condition holds until it is set: only those that fail tell courses apart
                if fork.kind != "when" or fork.key in outcomes:
                    continue
                branch = {**outcomes, fork.key: False}
                mark = tuple(sorted(branch))
                if mark not in seen:
                    seen.add(mark)
                    waiting.append(branch)
        return in_order(found)


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
    linked, diagnostics = link(source, world)
    if linked is None:
        return None, in_order(diagnostics)
    style = Style(linked)
    try:
        diagnostics = in_order([*diagnostics, *style.check()])
    except RecursionError:
        return None, in_order([*diagnostics, Diagnostic(
            "N213", "The rules of the style rest on each other too deeply", linked.style.heading.span,
            "shorter chains of rules", "a chain that cannot be followed",
            "Say the rules in the order in which they rest on each other, in shorter steps.")])
    return (None if has_errors(diagnostics) else style), diagnostics
