"""Calling something otherwise: every word of its name in a text and in those of its folder that share it, as one change.

What is to be changed is told by `families`, over the readings of all texts of the folder that have a word of the name or use one that
has.  Nothing is believed: the texts are read again as they would be, their trees are held against the old ones word for word,
and the plans of all courses, step for step, but for the names (`alike`).  A draft is made of its plan alone, so it stays what it
was.  Where anything else would change, the name is left and a diagnostic tells why.  What comes with the program is never changed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, TypeGuard

from ..meaning.index import MEASUREMENT
from ..source.diagnostics import CAUTION, Diagnostic, Refused
from ..source.text import Source, Span
from ..source.world import LIBRARIES, World, WorldBehind, standard_folder
from ..syntax import tree
from ..syntax.parser import parse
from .alike import unlike
from .definitions import read_text, users
from .families import Families, Member, text_key

if TYPE_CHECKING:
    from ..session import Reading

OWN_NAME = "a name that a text of this folder gives"
LEVELS = tree.LevelFirst, tree.LevelFrom, tree.LevelHalfway
OTHER_FILES = ".fittings", ".toml"
NAME = re.compile(r"(?:\d+)?[^\W\d]\w*'*")


@dataclass(frozen=True)
class Edit:
    """A word that is written otherwise."""

    span: Span
    text: str


@dataclass(frozen=True)
class Renaming:
    """`edits` by the path of each text that changes, in the order of the text; none where it is refused.  `notes` are cautions, or why."""

    edits: Mapping[PurePath, tuple[Edit, ...]]
    notes: tuple[Diagnostic, ...] = ()

    @property
    def refused(self) -> bool:
        return not self.edits


class ChangedWorld(WorldBehind):
    """Another world, in which some texts say something else."""

    def __init__(self, world: World, texts: Mapping[tuple[str, str], str]):
        super().__init__(world)
        self.changes = texts  # by name of file and what it says in the world behind

    def _changed(self, source: Source | None) -> Source | None:
        return source if source is None else Source(source.name, self.changes.get(text_key(source), source.text))

    def library(self, name: str) -> Source | None:
        return self._changed(self.world.library(name))

    def style(self, name: str) -> Source | None:
        return self._changed(self.world.style(name))

    def text(self, path: PurePath) -> tuple[Source | None, list[Diagnostic]]:
        source, diagnostics = self.world.text(path)
        return self._changed(source), diagnostics

    def beside(self, path: PurePath) -> World:
        return ChangedWorld(self.world.beside(path), self.changes)


class Folder:
    """The texts beside one, as far as they share names with it: their readings and the families of their names."""

    def __init__(self, world: World, path: PurePath):
        self.world, self.path = world, path
        self.readings: dict[PurePath, Reading] = {}
        self._own: dict[tuple[str, str], PurePath | None] = {}
        self.families = Families(())
        self.read([path])

    def read(self, paths: Sequence[PurePath]) -> None:
        for path in paths:
            reading = read_text(self.world, path)
            if reading is not None:
                self.readings[path] = reading
        texts = (source for path in self.readings if (source := self.world.text(path)[0]) is not None)
        pairs = [pair for source in texts for pair in _parameters(source)]
        self.families = Families((reading.symbols for reading in self.readings.values()), pairs)

    def known_at(self, source: Source, offset: int) -> Member | None:
        """The family of the name at a character as far as it is known; one in a recipe of a library is known to what uses that."""
        family = self.families.at(source, offset)
        if family is None:
            self.read([path for path in users(self.world, self.path) if path not in self.readings])
            family = self.families.at(source, offset)
        return family

    def family_at(self, source: Source, offset: int) -> Member | None:
        """The family of the name at a character, once all texts are read that may have a word of it."""
        while True:
            family = self.known_at(source, offset)
            if family is None:
                return None
            own = {path for span in self.families.words(family) if (path := self.own(span.source)) is not None}
            wanted = [path for one in sorted({*own, self.path}) for path in (one, *users(self.world, one))]
            missing = [path for path in dict.fromkeys(wanted) if path not in self.readings]
            if not missing:
                return family
            self.read(missing)

    def own(self, source: Source) -> PurePath | None:
        """The path of a text that lies in the folder and may be changed; None of any other."""
        key = text_key(source)
        if key not in self._own:
            path = self.path.parent / key[0]
            there, _ = self.world.text(path)
            self._own[key] = path if there is not None and there.text == source.text and not _is_standard(source) else None
        return self._own[key]


def _parameters(source: Source) -> Iterator[tuple[tree.Word, tree.Word]]:
    """Words in a rule, recipe or check with its parameters whose names they are: known also where nothing uses it."""
    for statement in parse(source).tree.statements or ():
        given = {str(node.name): node.name for node in statement.walk() if isinstance(node, tree.Parameter)}
        if given:
            words = (word for node in statement.walk() if isinstance(node, (tree.Name, tree.OneName)) for word in node.tokens())
            yield from ((word, given[word]) for word in words if word in given)


def _is_standard(source: Source) -> bool:
    """Whether a text is a library that comes with the program."""
    name, text = text_key(source)
    path = standard_folder(LIBRARIES) / name
    return path.is_file() and path.read_text(encoding="utf-8") == text


# ------------------------------------------------------------ one name


def can_be_renamed(world: World, path: PurePath, offset: int) -> Span | Diagnostic:
    """The word at a character of a text that can be called otherwise, as far as the text itself tells, or why none can."""
    source, told = world.text(path)
    if source is None:
        return told[0]
    try:
        folder = Folder(world, path)
        family = _known(folder, folder.known_at(source, offset), source, offset)
    except Refused as refused:
        return refused.diagnostic
    return next(span for span in folder.families.words(family) if _touches(span, source, offset))


def renamed(world: World, path: PurePath, offset: int, name: str) -> Renaming:
    """What changes where the name at a character of a text becomes `name`."""
    source, told = world.text(path)
    if source is None:
        return Renaming({}, tuple(told))
    try:
        folder = Folder(world, path)
        family = _known(folder, folder.family_at(source, offset), source, offset)
        word = next(span for span in folder.families.words(family) if _touches(span, source, offset))
        _hold_free(word, name)
        edits = changed(folder, {family: name}, word)
    except Refused as refused:
        return Renaming({}, (refused.diagnostic,))
    return Renaming(edits, (*_notes(folder, family, word, name), *_named_elsewhere(folder, word)))


def _touches(span: Span, source: Source, offset: int) -> bool:
    return text_key(span.source) == text_key(source) and span.start <= offset <= span.end


def _known(folder: Folder, family: Member | None, source: Source, offset: int) -> Member:
    """The family of the name at a character.  E130 where there is none, or it cannot be called otherwise."""
    here = Span(source, offset, offset)
    if family is None:
        raise _refusal(
            "E130",
            "Nothing that can be renamed stands here",
            here,
            OWN_NAME,
            _word(here),
            "Point at a name that the text gives or uses.",
        )
    why = fixed(folder, family)
    if why:
        place = next(span for span in folder.families.words(family) if _touches(span, source, offset))
        way_out = (
            "Rename what it is made of."
            if folder.families.made_of(family)
            else "Give what you say of it in your own text another name."
        )
        raise _refusal("E130", f'"{folder.families.name(family)}" cannot be renamed here', place, OWN_NAME, why, way_out)
    return family


def fixed(folder: Folder, family: Member) -> str:
    """Why a name cannot be called otherwise, in words; nothing where it can."""
    families = folder.families
    name, given = families.name(family), families.given(family)
    if any(sort == MEASUREMENT for _, sort in given):
        return "a body measurement, which cards and size tables name too"
    made_of = families.made_of(family)
    if made_of:
        others = " and ".join(f'"{families.name(part)}"' for part in made_of)
        return f"a name made of {others}, which changes when that is renamed"
    if families.by_language(family):
        return "a name that the language itself gives"
    if not given:
        return "a name that nothing gives any more"
    for span in families.words(family):
        if _is_standard(span.source):
            return f"a name of {span.source.name}, word for word a library that comes with the program"
        if folder.own(span.source) is None:
            return f"a name that {span.source.name} has as well, which is not changed from here"
    return "" if name else "no name"


def _hold_free(word: Span, name: str) -> None:
    if not NAME.fullmatch(name):
        raise _refusal(
            "E131", "This is no name", word, "a letter, then letters, figures and _", f'"{name}"', "Choose a name such as hip_ease."
        )
    if name == word.text:
        raise _refusal("E131", "It is called so already", word, "another name", f'"{name}"', "Choose another name.")


def _refusal(code: str, title: str, span: Span, expected: str, found: str, way_out: str) -> Refused:
    return Refused(Diagnostic(code, title, span, expected, found, way_out))


def _word(here: Span) -> str:
    words = [match for match in re.finditer(r"\S+", here.source.text) if match.start() <= here.start <= match.end()]
    return f'"{words[0][0]}"' if words else "no word"


# ------------------------------------------------------------ carried out, and proved


def changed(folder: Folder, changes: Mapping[Member, str], word: Span) -> dict[PurePath, tuple[Edit, ...]]:
    """The edits that call families otherwise, and those whose names are made of theirs.  `Refused` where something else would change."""
    families = folder.families
    try:
        names = families.followed(changes)
    except ValueError as problem:
        raise _refusal(
            "E132",
            "Two names would part that must stay the same",
            word,
            "one new name",
            str(problem),
            "Give one of the two a name of its own first.",
        ) from None
    edits: dict[PurePath, list[Edit]] = {}
    for family, name in names.items():
        for span in families.words(family):
            path = folder.own(span.source)
            if path is None:
                raise _refusal(
                    "E130",
                    f'"{span.text}" cannot be renamed here',
                    word,
                    OWN_NAME,
                    f"{span!r} has it as well",
                    "Rename another name of yours.",
                )
            edits.setdefault(path, []).append(Edit(span, name))
    for span, words in _girths_named(folder, names):
        if path := folder.own(span.source):
            edits.setdefault(path, []).append(Edit(span, words))
    for path in edits:
        edits[path].sort(key=lambda edit: edit.span.start)
    if (unsure := unread(folder, names)) is not None:
        raise _refusal(
            "E133",
            f'"{unsure.text}" stands in rules that nothing uses yet',
            unsure,
            "words of which it is known what they name",
            f'"{unsure.text}", which may be the same name or another',
            "Use these rules in a style, or take them out; then rename.",
        )
    _prove(folder, edits, names, word)
    return {path: tuple(edits[path]) for path in sorted(edits)}


def _girths_named(folder: Folder, names: Mapping[Member, str]) -> Iterator[tuple[Span, str]]:
    """(where, words) to be added to levels whose body girth is told by their own name alone."""
    told = {  # the levels of which a plan knows the body's own girth
        (text_key(entity.place.source), entity.place.start): entity.place
        for reading in folder.readings.values()
        for level in {level for plan in reading.plans for level in plan.level_girths}
        for symbols in reading.symbols
        for entity, _ in symbols.defined
        if entity.sort == "level" and entity.name == level
    }
    for family in names:
        for span, sort in folder.families.given(family):
            if sort == "level" and (text_key(span.source), span.start) in told:
                row = next(node for node in parse(span.source).tree.walk() if isinstance(node, LEVELS) and node.name.span == span)
                if row.girth is None:
                    end = row.unmarked.span.start if row.unmarked is not None else row.span.end
                    yield Span(span.source, end, end), f", girth {span.text}"


def unread(folder: Folder, names: Mapping[Member, str]) -> Span | None:
    """A word of one of the names that no reading knew what to make of: it stands in a rule, recipe or check that nothing uses."""
    families = folder.families
    wanted = {families.name(family) for family in names}
    known = {(text_key(span.source), span.start) for family in families.all() for span in families.words(family)}
    for path in folder.readings:
        source, _ = folder.world.text(path)
        if source is None or folder.own(source) is None:
            continue
        key = text_key(source)
        words = (word for node in parse(source).tree.walk() for word in node.children if _can_name(node, word) and str(word) in wanted)
        unsure = next((word for word in words if (key, word.span.start) not in known), None)
        if unsure is not None:
            return unsure.span
    return None


def _can_name(node: tree.Node, word: tree.Node | tree.Word) -> TypeGuard[tree.Word]:
    """Whether a word stands where a name of rules may stand."""
    if not isinstance(word, tree.Word) or isinstance(
        node, (tree.Style, tree.Library, tree.Fittings, tree.Use, tree.StartFrom, tree.FactKind)
    ):
        return False
    return word.type == "NAME" or (word.type == "NUMBER" and isinstance(node, tree.Ref))


def _prove(folder: Folder, edits: Mapping[PurePath, Sequence[Edit]], names: Mapping[Member, str], word: Span) -> None:
    """Read everything again as it would be, and compare."""
    families = folder.families
    texts = {}
    for changes in edits.values():
        source = changes[0].span.source
        texts[text_key(source)] = after = edited(changes)
        if not _same_tree(source, Source(source.name, after), changes):
            new = f'"{next(edit.text for edit in changes if edit.span.text)}"'
            raise _refusal(
                "E131", "This name cannot stand here", word, "a name that is no word of the language there", new, "Choose another."
            )
    called: dict[str, set[str]] = {}
    for family, name in names.items():
        called.setdefault(families.name(family), set()).add(name)
    world = ChangedWorld(folder.world, texts)
    for path, reading in folder.readings.items():
        again = read_text(world, path)
        if again is None:
            continue
        _hold_in_order(path, reading, again, word)
        difference = unlike(reading.plans, again.plans, called)
        if difference:
            raise _refusal(
                "E132",
                "Something else would change as well",
                word,
                "rules that mean the same under the new name",
                f"rules of {path.name} that would be read otherwise ({difference:.120})",
                "Choose a name that nothing else has.",
            )


def _hold_in_order(path: PurePath, reading: Reading, again: Reading, word: Span) -> None:
    """No mistake more than there was in what is read from a path."""
    before = [(d.code, d.severity) for d in reading.diagnostics]
    for diagnostic in again.diagnostics:
        if (diagnostic.code, diagnostic.severity) in before:
            before.remove((diagnostic.code, diagnostic.severity))
        else:
            others = () if diagnostic.span is None else ((diagnostic.span, diagnostic.title),)
            found = f"in {path.name}, {diagnostic.code}: {diagnostic.title}"
            raise Refused(Diagnostic("E131", "This name is taken", word, "a name that is free there", found, "Choose another.", others))


def edited(edits: Sequence[Edit]) -> str:
    """The text that edits lead to, which are of one text and in its order."""
    text = edits[0].span.source.text
    for edit in reversed(edits):
        text = text[: edit.span.start] + edit.text + text[edit.span.end :]
    return text


def _same_tree(old: Source, new: Source, edits: Sequence[Edit]) -> bool:
    """Whether the new text has the same tree, but for what was added, and all words the same but those that were to change."""
    changes = {edit.span.start: edit.text for edit in edits if edit.span.text}
    added: set[int] = set()
    moved = 0
    for edit in edits:
        if not edit.span.text:
            added.update(range(edit.span.start + moved, edit.span.start + moved + len(edit.text)))
        moved += len(edit.text) - len(edit.span.text)
    forms = [type(node) for node in parse(new).tree.walk() if node.span.start not in added]
    if forms != [type(node) for node in parse(old).tree.walk()]:
        return False
    before = list(parse(old).tree.tokens())
    after = [word for word in parse(new).tree.tokens() if word.span.start not in added]
    same = [
        str(there) == changes.get(word.span.start, str(word))
        and (there.type == word.type or {there.type, word.type} == {"NAME", "NUMBER"})
        for word, there in zip(before, after, strict=False)
    ]
    return len(before) == len(after) and all(same)


def _notes(folder: Folder, family: Member, word: Span, name: str) -> list[Diagnostic]:
    """What is told with a name that is changed: where papers show it."""
    untitled = [
        node
        for path in folder.readings
        for source in [folder.world.text(path)[0]]
        if source is not None
        for node in parse(source).tree.walk()
        if isinstance(node, tree.Piece) and node.title is None and node.name.span in folder.families.words(family)
    ]
    if not untitled:
        return []
    return [
        Diagnostic(
            "E134",
            f'Papers call the piece "{name}" now',
            word,
            "a piece with a title, which stays",
            f"{word.text} without a title",
            f'To keep what papers say give it a title: piece {name} "{word.text}"',
            severity=CAUTION,
        )
    ]


def _named_elsewhere(folder: Folder, word: Span) -> list[Diagnostic]:
    """What is told where files of the folder that are no styles or libraries have the word: fittings, orders and the like."""
    old = re.compile(rf"(?<![\w']){re.escape(word.text)}(?![\w'])")
    beside = [path for suffix in OTHER_FILES for path in folder.world.folder(folder.path.parent, suffix) or ()]
    texts = ((path, folder.world.text(path)[0]) for path in beside)
    found = [path.name for path, source in texts if source is not None and old.search(source.text)]
    if not found:
        return []
    return [
        Diagnostic(
            "E135",
            f'Other files of the folder have the word "{word.text}"',
            word,
            "files that do not name what is renamed",
            ", ".join(found),
            "Look whether they mean this name, and change it there by hand.",
            severity=CAUTION,
        )
    ]
