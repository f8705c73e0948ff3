"""What the automaton is in the middle of: the rules of the grammar that could be read where it stands, and how far.

A state of the tables is a set of items, rules with a dot before what comes next; the tables themselves keep only what is done
there.  The items of a stack are found again from its states: those of the first are the rules of a text, and those of each further one
are those before it whose next symbol led there, with all rules that may begin where the dot stands.  So what a name would be,
wherever it stands, is asked of the grammar: the form that it would be part of, and the field of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

from .forms import Node, Record, own_fields
from .grammar import START
from .tables import Tables
from .tree import Ref

Item = tuple[int, int]  # the number of a rule, and of its symbols before the dot


ALONE, FIRST, MEMBER = "alone", "first", "member"  # a name by itself; the first of a reference; `waist` in `front.waist`


class Slot(NamedTuple):
    """What a word would be: a field of a form; `way` tells whether it is that by itself, or where names of pieces may come before it."""

    form: type[Node]
    field: str
    way: str = ALONE


class Items:
    """The items of stacks of one automaton's tables."""

    def __init__(self, tables: Tables):
        self.tables = tables
        self._kernels: dict[int, frozenset[Item]] = {}
        self._closed: dict[int, tuple[Item, ...]] = {}

    @cached_property
    def _beginning(self) -> dict[str, frozenset[int]]:
        """Symbol -> every rule that may begin where it is to come."""
        own: dict[str, set[int]] = {}
        for number, rule in enumerate(self.tables.reductions):
            own.setdefault(rule.origin, set()).add(number)
        beginning: dict[str, frozenset[int]] = {}
        for symbol in own:
            found: set[int] = set()
            waiting = [symbol]
            seen = {symbol}
            while waiting:
                rules = own.get(waiting.pop(), set())
                found |= rules
                for number in rules:
                    first = self.tables.reductions[number].symbols[:1]
                    if first and first[0] in own and first[0] not in seen:
                        seen.add(first[0])
                        waiting.append(first[0])
            beginning[symbol] = frozenset(found)
        return beginning

    def closed(self, states: Sequence[int]) -> tuple[Item, ...]:
        """The items of the topmost of these states."""
        top = states[-1]
        if top not in self._closed:
            items = dict.fromkeys(self._kernel(states))
            if len(states) == 1:
                items = {(number, 0): None for number in self._beginning[START]}
            for number, dot in list(items):
                following = self.tables.reductions[number].symbols[dot : dot + 1]
                if following:
                    items.update(((begun, 0), None) for begun in self._beginning.get(following[0], ()))
            self._closed[top] = tuple(items)
        return self._closed[top]

    def _kernel(self, states: Sequence[int]) -> frozenset[Item]:
        top = states[-1]
        if len(states) == 1:
            return frozenset()
        if top not in self._kernels:
            led = {symbol for symbol, action in self.tables.states[states[-2]].items() if action == top}
            rules = self.tables.reductions
            self._kernels[top] = frozenset(
                (number, dot + 1)
                for number, dot in self.closed(states[:-1])
                if dot < rules[number].size and rules[number].symbols[dot] in led
            )
        return self._kernels[top]

    def before(self, states: Sequence[int], terminal: str) -> list[int] | None:
        """The stack of states from which a terminal is shifted, after the reductions that it calls for; None where it cannot be."""
        actions, stack = self.tables.states, list(states)
        while (action := actions[stack[-1]].get(terminal)) is not None:
            if action >= 0:
                return stack
            rule = self.tables.reductions[-1 - action]
            if rule.size:
                del stack[-rule.size :]
            stack.append(actions[stack[-1]][rule.origin])
        return None

    def slots(self, states: Sequence[int], terminal: str) -> set[Slot]:
        """What a terminal would be if it came next."""
        stack = self.before(states, terminal)
        if stack is None:
            return set()
        rules = self.tables.reductions
        shifting = [(number, dot) for number, dot in self.closed(stack) if rules[number].symbols[dot : dot + 1] == (terminal,)]
        found: set[Slot] = set()
        for number, dot in shifting:
            rule = rules[number]
            if rule.form is Ref or rule.form is None:
                way = ALONE if rule.form is None else MEMBER if dot else FIRST
                found |= {slot._replace(way=way) for slot in self._climbed(stack, (number, dot), set())}
            else:
                found |= set(_slots(rule.form, rule.of, rule.picks, dot))
        return found

    def _climbed(self, stack: Sequence[int], item: Item, seen: set[tuple[int, Item]]) -> Iterator[Slot]:
        """The slots of what an item will make once it is read."""
        number, dot = item
        origin, depth = self.tables.reductions[number].origin, len(stack) - dot
        for above, place in self.closed(stack[:depth]):
            rule = self.tables.reductions[above]
            if rule.symbols[place : place + 1] != (origin,) or (depth, (above, place)) in seen:
                continue
            seen.add((depth, (above, place)))
            if rule.form is None or rule.form is Ref:
                yield from self._climbed(stack[:depth], (above, place), seen)
            else:
                yield from _slots(rule.form, rule.of, rule.picks, place)

    def may_begin(self, states: Sequence[int], origin: str) -> bool:
        """Whether what a rule of the grammar makes may begin here."""
        rules = self.tables.reductions
        return any(dot == 0 and rules[number].origin == origin for number, dot in self.closed(states))

    def begun(self, states: Sequence[int], terminal: str) -> set[type[Node]]:
        """The forms that would begin with a terminal if it came next."""
        stack = self.before(states, terminal)
        rules = self.tables.reductions
        return {
            form
            for number, dot in (() if stack is None else self.closed(stack))
            if dot == 0 and rules[number].symbols[:1] == (terminal,) and (form := rules[number].form) is not None
        }


def _slots(form: type[Node], of: type[Node] | None, picks: Sequence[int], symbol: int) -> Iterator[Slot]:
    """The field that the symbol of that number fills; of what `without` takes away, that of the statement itself."""
    names = own_fields(form)
    if of is not None:
        record = _record(of)
        names = record.key.names if record.key is not None else ()
        form = of
    for field, number in enumerate(picks):
        if number == symbol and field < len(names):
            yield Slot(form, names[field])


def _record(form: type[Node]) -> Record:
    from .forms import RECORDS

    return next(record for known, record in RECORDS.items() if known is form)
