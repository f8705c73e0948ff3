"""The LALR(1) automaton: two stacks that tokens are fed to, one by one, and that can be put back to where they stood.

`feed` carries out the reductions that a token calls for, then shifts it; `takes` tells whether it could, without a trace.
"""

from __future__ import annotations

from typing import NamedTuple

from .builder import SemanticValue
from .tables import END, Tables
from .tree import Node, Word


class Stacks(NamedTuple):
    """Where an automaton stood."""

    states: list[int]
    values: list[SemanticValue]


class Automaton:
    def __init__(self, tables: Tables):
        self.tables = tables
        self.states: list[int] = [tables.start]
        self.values: list[SemanticValue] = []

    def stacks(self) -> Stacks:
        return Stacks(list(self.states), list(self.values))

    def restore(self, stacks: Stacks) -> None:
        self.states[:], self.values[:] = stacks

    def feed(self, word: Word) -> bool:
        """Take a token.  False where it cannot be taken; reductions that it called for before that are not undone."""
        actions, states, values = self.tables.states, self.states, self.values
        while True:
            action = actions[states[-1]].get(word.type)
            if action is None:
                return False
            if action >= 0:
                states.append(action)
                values.append(word)
                return True
            self._reduce(action)

    def finish(self, end: Word) -> Node:
        """The whole tree, after the last token."""
        actions = self.tables.states
        while self.states[-1] != self.tables.end:
            self._reduce(actions[self.states[-1]][end.type])
        tree = self.values[-1]
        assert isinstance(tree, Node)
        return tree

    def _reduce(self, action: int) -> None:
        reduction = self.tables.reductions[-1 - action]
        size, states, values = reduction.size, self.states, self.values
        parts: list[SemanticValue] = []
        if size:
            parts = values[-size:]
            del values[-size:], states[-size:]
        values.append(reduction.make(parts))
        states.append(self.tables.states[states[-1]][reduction.origin])

    def choices(self) -> dict[str, int]:
        """The symbols that the topmost state has an action for; some of the terminals may fail all the same."""
        return self.tables.states[self.states[-1]]

    def takes(self, terminal: str) -> bool:
        """Whether the stacks, after the reductions that it calls for, can shift this terminal."""
        actions, states = self.tables.states, self.states
        height = len(states)  # of the true stack that is still standing
        pushed: list[int] = []
        while True:
            top = pushed[-1] if pushed else states[height - 1]
            if terminal == END and top == self.tables.end:
                return True
            action = actions[top].get(terminal)
            if action is None:
                return False
            if action >= 0:
                return True
            reduction = self.tables.reductions[-1 - action]
            from_pushed = min(reduction.size, len(pushed))
            if from_pushed:
                del pushed[-from_pushed:]
            height -= reduction.size - from_pushed
            pushed.append(actions[pushed[-1] if pushed else states[height - 1]][reduction.origin])

    def accepts(self) -> set[str]:
        """The terminals that can be taken here."""
        return {symbol for symbol in self.choices() if symbol in self.tables.names and self.takes(symbol)}
