"""What is doubted of a card: two measures beside each other, two sides, two measurings.

All are cautions, and each is set aside where the card accepts the measure with a reason.  What is said is of the measurings that
count; whether a reason is needed is asked of all, so that an older one does not make its reason needless.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ..source.diagnostics import CAUTION, Diagnostic
from ..source.units import UNITS
from .measurement import HALVES, Doubt, Measurement, doubted
from .measurings import Held, apart, bound_between, moved
from .reading import doubt_diagnostic, shortened
from .taking import BodyState, Takings


@dataclass(slots=True)
class CardDoubts:
    known: Mapping[str, Measurement]
    doubts: tuple[Doubt, ...]
    accepted: Mapping[str, str]
    doubted: set[str] = field(default_factory=set)  # measures that need a reason

    def said(self, takings: Takings, counting: BodyState) -> list[Diagnostic]:
        """The cautions of what counts: of measures beside each other, of sides, and of measurings that follow each other.  B109, B143, B144, B149."""
        for state in takings.states:
            for doubt in _of_body(self.doubts, state.held, {}):
                self.doubted.update((doubt.measure, doubt.other))
        said = [self._beside(doubt, counting.held) for doubt in _of_body(self.doubts, counting.held, self.accepted)]
        unlike = {name for state in takings.states for name, figure in state.held.items() if self._is_unlike(name, figure)}
        self.doubted |= unlike
        said += [
            self._unlike(self.known[name], figure)
            for name, figure in counting.held.items()
            if self._is_unlike(name, figure) and name not in self.accepted
        ]
        counted = takings.states[: takings.states.index(counting) + 1] if counting in takings.states else []
        said += [self._leap(*leap) for leap in self._leaps(counted) if leap[0].name not in self.accepted]
        said += [_levelled(*lost) for lost in self._lost_sides(counted) if lost[0].name not in self.accepted]
        later = (*self._leaps(takings.states), *self._lost_sides(takings.states))
        self.doubted |= {measurement.name for measurement, _, _ in later}
        return said

    def _beside(self, doubt: Doubt, held: Mapping[str, Held]) -> Diagnostic:
        first, second = ((held[name].written, held[name].span) for name in (doubt.measure, doubt.other))
        return doubt_diagnostic(doubt, first, second, f'If both are right, write below [accept]: {doubt.measure} = "why".')

    def _is_unlike(self, name: str, figure: Held) -> bool:
        return apart(self.known[name], figure) > self.known[name].unlike

    def _unlike(self, measurement: Measurement, figure: Held) -> Diagnostic:
        show = UNITS[figure.unit].told_in
        return Diagnostic(
            "B143",
            f"{shortened(measurement.name, 28)} differs much from side to side",
            figure.span,
            f"{'halves' if measurement.sides == HALVES else 'sides'} that differ by {measurement.show(measurement.unlike, show, 4)} at most",
            f"{figure.written}: {measurement.show(apart(measurement, figure), show)}",
            f'Measure both again. If both are right, write below [accept]: {measurement.name} = "why".',
            severity=CAUTION,
        )

    def _leaps(self, states: Sequence[BodyState]) -> Iterator[tuple[Measurement, Held, Held]]:
        """Measures that moved further than they should from one measuring that took them to the next."""
        for before, after in zip(states, states[1:], strict=False):
            for name, figure in after.held.items():
                earlier, measurement = before.held.get(name), self.known[name]
                if earlier is None or earlier is figure:
                    continue
                if moved(measurement, earlier, figure) > bound_between(measurement, earlier, figure):
                    yield measurement, earlier, figure

    def _lost_sides(self, states: Sequence[BodyState]) -> Iterator[tuple[Measurement, Held, Held]]:
        """Measures whose sides differed, and of which the whole alone was taken again."""
        for before, after in zip(states, states[1:], strict=False):
            for name, figure in after.held.items():
                earlier = before.held.get(name)
                if earlier is not None and not earlier.even and not figure.sided:
                    yield self.known[name], earlier, figure

    def _leap(self, measurement: Measurement, before: Held, after: Held) -> Diagnostic:
        show = UNITS[after.unit].told_in
        bound = measurement.show(bound_between(measurement, before, after), show, 4)
        return Diagnostic(
            "B144",
            f"{shortened(measurement.name, 28)} has moved far{f' since {before.day}' if before.day is not None else ''}",
            after.span,
            f"at most {bound}{' in that time' if measurement.monthly else ' from one measuring to the next'}",
            f"{before.written}, then {after.written}: {measurement.show(moved(measurement, before, after), show)}",
            f'Measure again. If it is right, write below [accept]: {measurement.name} = "why".',
            ((before.span, "before"),),
            CAUTION,
        )


def _levelled(measurement: Measurement, before: Held, after: Held) -> Diagnostic:
    return Diagnostic(
        "B149",
        f"{shortened(measurement.name, 30)} was uneven, and is not now",
        after.span,
        "left and right taken again, or one of them",
        f"{before.written}, then {after.written} for both",
        f'Write the sides that were taken; if it is even now, write below [accept]: {measurement.name} = "why".',
        ((before.span, "before"),),
        CAUTION,
    )


def _of_body(doubts: Sequence[Doubt], held: Mapping[str, Held], accepted: Mapping[str, str]) -> list[Doubt]:
    """The doubts that hold of the body, or of a body with two sides such as one of its."""
    bodies = [{name: figure.value for name, figure in held.items()}]
    if any(not figure.even for figure in held.values()):
        bodies += [{name: figure.left for name, figure in held.items()}, {name: figure.right for name, figure in held.items()}]
    found = {id(doubt): doubt for body in bodies for doubt in doubted(doubts, body, accepted)}
    return [doubt for doubt in doubts if id(doubt) in found]
