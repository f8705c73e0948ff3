"""A style with the libraries it uses, as trees.

`use` names are followed through the world, each library once; a circle of uses is shown as a chain.  The library of
body measurements is always there, so that every style means the same by `waist`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from ..source.world import World
from ..syntax import tree
from ..syntax.parser import Parsed, parse

MEASUREMENTS = "measurements"
LANGUAGE = 1


@dataclass
class Module:
    """One file: its tree, and the modules it uses, in order."""

    parsed: Parsed
    uses: list[Module] = field(default_factory=list)

    @property
    def statements(self):
        return (self.parsed.tree.statements or ()) if self.parsed.tree is not None else ()

    @property
    def heading(self):
        return self.parsed.tree.heading if self.parsed.tree is not None else None


@dataclass
class Linked:
    """A style's module and all libraries behind it, each once, used ones first."""

    style: Module
    libraries: list[Module]
    lost: frozenset[str]
    torn: frozenset[tuple[str, int]]  # (file, beginning) of statements whose blocks lost a line
    incomplete: bool = False  # a library is missing, which has been said


def link(source: Source, world: World) -> tuple[Linked | None, list[Diagnostic]]:
    """Parse a style and the libraries it uses.  None where the style has no readable heading."""
    return _Linker(world).link(source)


class _Linker:
    def __init__(self, world: World):
        self.world = world
        self.diagnostics: list[Diagnostic] = []
        self.modules: dict[str, Module | None] = {}
        self.order: list[Module] = []
        self.lost: set[str] = set()
        self.torn: set[tuple[str, int]] = set()

    def link(self, source: Source):
        style = self.module(source)
        if style is None:
            return None, self.diagnostics
        if MEASUREMENTS not in self.modules:
            self.library(MEASUREMENTS, style.heading.span, ())
        self.follow(style, (source.name,))
        incomplete = any(module is None for module in self.modules.values())
        return Linked(style, self.order, frozenset(self.lost), frozenset(self.torn), incomplete), self.diagnostics

    def module(self, source: Source, used_at: Span | None = None) -> Module | None:
        parsed = parse(source)
        self.diagnostics += parsed.diagnostics
        self.lost |= parsed.lost
        self.torn.update((source.name, start) for start in parsed.torn)
        if parsed.tree is None:
            return None
        heading = parsed.tree.heading
        version = parsed.tree.language.version
        if version != str(LANGUAGE):
            self.diagnostics.append(Diagnostic(
                "S113", f"This is written in version {version} of the language", version.span, f"language {LANGUAGE}",
                f"language {version}", f"This program reads version {LANGUAGE}."))
        if used_at is None and isinstance(heading, tree.Library):
            self.diagnostics.append(Diagnostic("N212", "This file is a library, not a style", heading.span, "a style",
                                               "a library", "Draft a style that uses it."))
            return None
        if used_at is not None and isinstance(heading, tree.Style):
            self.diagnostics.append(Diagnostic(
                "N212", f'"{heading.name}" is a style, not a library', used_at, "a library", "a style",
                "Only libraries can be used by other files.", ((heading.span, "its heading"),)))
            return None
        return Module(parsed)

    def follow(self, module: Module, chain: tuple[str, ...]):
        for statement in module.statements:
            if isinstance(statement, tree.Use):
                for name in statement.names:
                    used = self.library(str(name), name.span, chain)
                    if used is not None and used not in module.uses:
                        module.uses.append(used)

    def library(self, name: str, span: Span, chain: tuple[str, ...]) -> Module | None:
        if name in chain:
            self.diagnostics.append(Diagnostic("N203", "Libraries use each other in a circle", span,
                                               "libraries that rest on others before them",
                                               " -> ".join([*chain[chain.index(name):], name]), "Take one of these uses out."))
            return None
        if name in self.modules:
            return self.modules[name]
        source = self.world.library(name)
        if source is None:
            known = self.world.library_names()
            self.diagnostics.append(Diagnostic("N201", f'No library is called "{name}"', span,
                                               f"one of: {', '.join(known)}", f'"{name}"',
                                               did_you_mean(name, known) or "Put the library beside the style."))
            self.modules[name] = None
            return None
        module = self.module(source, span)
        self.modules[name] = module
        if module is not None:
            self.follow(module, (*chain, name))
            self.order.append(module)
        return module
