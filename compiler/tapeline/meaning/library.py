"""A style with the libraries it uses and the style it starts from, as trees.

`use` names are followed through the world, each library once; a circle of uses is shown as a chain.  The library of
body measurements is always there, so that every style means the same by `waist`.  A style that starts from another has
the statements of both, as `starting` sets them together, and the libraries of both.  What a client's fittings change is set
into the style in the same way, one fitting after the other in the order of their days.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import TypeAlias

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from ..source.world import World
from ..syntax import tree
from ..syntax.parser import Parsed, parse
from . import starting

MEASUREMENTS = "measurements"
LANGUAGE = 1
MOST_STARTS = 12  # styles that start from each other


Heading: TypeAlias = tree.Style | tree.Library


@dataclass
class Module:
    """One file: its tree, and the modules it uses, in order; `started` are the statements of a style that starts from
    another, those of the other among them."""

    parsed: Parsed
    heading: Heading
    uses: list[Module] = field(default_factory=list)
    started: tuple[tree.Statement, ...] | None = None

    @property
    def statements(self) -> tuple[tree.Statement, ...]:
        if self.started is not None:
            return self.started
        return self.parsed.tree.statements or ()


@dataclass
class Fitted:
    """What a client's fittings made of a style: the fittings in the order of their days, and the statements before the first of them."""

    source: Source
    fittings: tuple[tree.Fitting, ...]
    before: tuple[tree.Statement, ...]


@dataclass
class Linked:
    """A style's module and all libraries behind it, each once, used ones first."""

    style: Module
    libraries: list[Module]
    skipped_names: frozenset[str]
    damaged: frozenset[tuple[str, int]]  # (file, beginning) of statements whose bodies lost a line
    incomplete: bool = False  # a library is missing, which has been said
    fittings: Fitted | None = None
    replaced: list[tuple[tree.Node, tree.Node]] = field(default_factory=list)  # statements, each with one in whose place it stands
    named: list[tuple[tree.Word, Heading]] = field(
        default_factory=list
    )  # names of texts behind `use` and `start from`, and whose they are


def link(source: Source, world: World) -> tuple[Linked | None, list[Diagnostic]]:
    """Parse a style and the libraries it uses.  None where the style has no readable heading."""
    return _Linker(world).link(source)


class _Linker:
    def __init__(self, world: World):
        self.world = world
        self.diagnostics: list[Diagnostic] = []
        self.modules: dict[str, Module | None] = {}
        self.order: list[Module] = []
        self.skipped_names: set[str] = set()
        self.damaged: set[tuple[str, int]] = set()
        self.replaced: list[tuple[tree.Node, tree.Node]] = []
        self.named: list[tuple[tree.Word, Heading]] = []

    def link(self, source: Source) -> tuple[Linked | None, list[Diagnostic]]:
        style = self.module(source)
        if style is None:
            return None, self.diagnostics
        if MEASUREMENTS not in self.modules:
            self.library(MEASUREMENTS, style.heading.head, ())
        if not self.start(style, (PurePath(source.name).stem,)):
            return None, self.diagnostics
        fitted = self.fit(style)
        incomplete = any(module is None for module in self.modules.values())
        linked = Linked(style, self.order, frozenset(self.skipped_names), frozenset(self.damaged), incomplete, fitted)
        linked.replaced, linked.named = self.replaced, self.named
        return linked, self.diagnostics

    def parsed(self, source: Source) -> Parsed:
        parsed = parse(source)
        self.diagnostics += parsed.diagnostics
        self.skipped_names |= parsed.skipped_names
        self.damaged.update((source.name, start) for start in parsed.damaged)
        return parsed

    def module(self, source: Source, used_at: Span | None = None, wanted: type[tree.Node] = tree.Library) -> Module | None:
        parsed = self.parsed(source)
        heading, language = parsed.tree.heading, parsed.tree.language
        if heading is None or language is None:
            return None
        version = language.version
        if version != str(LANGUAGE):
            self.diagnostics.append(
                Diagnostic(
                    "S113",
                    f"This is written in version {version} of the language",
                    version.span,
                    f"language {LANGUAGE}",
                    f"language {version}",
                    f"This program reads version {LANGUAGE}.",
                )
            )
        if isinstance(heading, tree.Fittings):
            self.diagnostics.append(
                Diagnostic(
                    "N212",
                    f'"{heading.name}" is a client whose fittings these are',
                    used_at or heading.head,
                    "a style" if used_at is None or wanted is tree.Style else "a library",
                    "fittings",
                    f"They are taken of themselves when a style is drafted for her: tapeline draft STYLE --for {heading.name}.toml",
                    () if used_at is None else ((heading.head, "its heading"),),
                )
            )
            return None
        if used_at is None and isinstance(heading, tree.Library):
            self.diagnostics.append(
                Diagnostic(
                    "N212", "This file is a library, not a style", heading.head, "a style", "a library", "Draft a style that uses it."
                )
            )
            return None
        if used_at is not None and wanted is tree.Style and isinstance(heading, tree.Library):
            self.diagnostics.append(
                Diagnostic(
                    "N212",
                    f'"{heading.name}" is a library, not a style',
                    used_at,
                    "a style",
                    "a library",
                    f"To use a library say: use {heading.name}",
                    ((heading.head, "its heading"),),
                )
            )
            return None
        if used_at is not None and wanted is tree.Library and isinstance(heading, tree.Style):
            self.diagnostics.append(
                Diagnostic(
                    "N212",
                    f'"{heading.name}" is a style, not a library',
                    used_at,
                    "a library",
                    "a style",
                    "Only libraries can be used by other files.",
                    ((heading.head, "its heading"),),
                )
            )
            return None
        return Module(parsed, heading)

    # ------------------------------------------------------------ starting from a style

    def start(self, style: Module, chain: tuple[str, ...]) -> bool:
        """Give a style the libraries it uses, after those of the style it starts from, and that style's statements.
        False where that style cannot be read: nothing can be told of this one then."""
        starts = [statement for statement in style.statements if isinstance(statement, tree.StartFrom)]
        for second in starts[1:]:
            self.diagnostics.append(
                Diagnostic(
                    "N228",
                    "A style starts from one style only",
                    second.head,
                    "one start from",
                    "a second",
                    "Take one of the two out.",
                    ((starts[0].head, "it starts here"),),
                )
            )
        if starts and style.statements[0] is not starts[0]:
            self.diagnostics.append(starting.out_of_place(starts[0]))
        base = self.base(starts[0].name, chain) if starts else None
        if starts and base is None:
            return False
        if base is not None:
            self.named.append((starts[0].name, base.heading))
            style.uses += base.uses
        self.follow(style, (style.parsed.source.name,))
        if base is not None:
            self.amend(style, base.statements, style.statements)
        return True

    def amend(self, style: Module, before: Sequence[tree.Statement], own: Sequence[tree.Statement]) -> None:
        """Give a style the statements that were there before, with its own in their place."""
        (style.started,), diagnostics, replaced = starting.started(before, own, self.skipped_names)
        self.diagnostics += diagnostics
        self.replaced += replaced
        self.skipped_names |= {
            diagnostic.span.text for diagnostic in diagnostics if diagnostic.code == "N224" and diagnostic.span is not None
        }  # that has been said

    def fit(self, style: Module) -> Fitted | None:
        """Set what a client's fittings change into the style, in the order of their days."""
        source = self.world.fittings(PurePath(style.parsed.source.name).stem)
        if source is None:
            return None
        parsed = self.parsed(source)
        assert isinstance(parsed.tree.heading, tree.Fittings)  # what is not was refused before
        before = style.statements
        fittings = [statement for statement in parsed.tree.statements or () if isinstance(statement, tree.Fitting)]
        fittings.sort(key=lambda fitting: fitting.date.iso)
        for fitting in fittings:
            own = tuple(fitting.statements or ())
            self.diagnostics += [starting.out_of_place(one) for one in own if isinstance(one, tree.StartFrom)]
            module = Module(parsed, style.heading, started=own)
            self.follow(module, (source.name,))
            style.uses += [used for used in module.uses if used not in style.uses]
            self.amend(style, style.statements, own)
        return Fitted(source, tuple(fittings), before)

    def base(self, name: tree.Word, chain: tuple[str, ...]) -> Module | None:
        """The style of that name, with all that it starts from itself."""
        if name in chain:
            self.diagnostics.append(
                Diagnostic(
                    "N203",
                    "Styles start from each other in a circle",
                    name.span,
                    "a style that stands before this one",
                    " -> ".join([*chain[chain.index(name) :], name]),
                    "Start from another style.",
                )
            )
            return None
        if len(chain) > MOST_STARTS:
            self.diagnostics.append(
                Diagnostic(
                    "N213",
                    "Too many styles start from each other",
                    name.span,
                    f"at most {MOST_STARTS}, one from the other",
                    f"more than {MOST_STARTS}",
                    "Start from one of the first of them.",
                )
            )
            return None
        source = self.world.style(name)
        if source is None:
            known = [style for style in self.world.style_names() if style != chain[0]]
            way_out = did_you_mean(name, known)
            self.diagnostics.append(
                Diagnostic(
                    "N201",
                    f'No style is called "{name}"',
                    name.span,
                    f"one of: {', '.join(known)}" if not way_out else "the name of a style",
                    f'"{name}"',
                    way_out or "Put the style beside this one.",
                )
            )
            return None
        module = self.module(source, name.span, tree.Style)
        return module if module is not None and self.start(module, (*chain, str(name))) else None

    # ------------------------------------------------------------ libraries

    def follow(self, module: Module, chain: tuple[str, ...]) -> None:
        for statement in module.statements:
            if isinstance(statement, tree.Use):
                for name in statement.names:
                    used = self.library(str(name), name.span, chain)
                    if used is not None:
                        self.named.append((name, used.heading))
                    if used is not None and used not in module.uses:
                        module.uses.append(used)

    def library(self, name: str, span: Span, chain: tuple[str, ...]) -> Module | None:
        if name in chain:
            self.diagnostics.append(
                Diagnostic(
                    "N203",
                    "Libraries use each other in a circle",
                    span,
                    "libraries that rest on others before them",
                    " -> ".join([*chain[chain.index(name) :], name]),
                    "Take one of these uses out.",
                )
            )
            return None
        if name in self.modules:
            return self.modules[name]
        source = self.world.library(name)
        if source is None:
            known = self.world.library_names()
            self.diagnostics.append(
                Diagnostic(
                    "N201",
                    f'No library is called "{name}"',
                    span,
                    f"one of: {', '.join(known)}",
                    f'"{name}"',
                    did_you_mean(name, known) or "Put the library beside the style.",
                )
            )
            self.modules[name] = None
            return None
        module = self.module(source, span)
        self.modules[name] = module
        if module is not None:
            self.follow(module, (*chain, name))
            self.order.append(module)
        return module
