"""Starting from something that is there: new statements in the place of old ones, before any name is looked up.

A style may start from another, a piece may change what its recipe says, and a style may change a piece of the style it
starts from.  All three are one thing, `amended`: old statements and new ones give the statements that hold.  A new
statement takes the place of the old one that gives the same name, also where that stands under a `when`; `without` takes
one away; what names nothing old is added.  Trees are not altered, and every statement keeps the place it was read from.

What takes the place of a statement of a recipe still speaks in the names of the style, not of the recipe: it is wrapped as
`Substituted` for the piece to know.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import replace
from typing import Any, NamedTuple, Protocol, TypeAlias, TypeVar

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Span
from ..syntax import tree
from .lowering import Lowering, names_given
from .statement_keys import PendingChange, Substituted, SubstitutedWhen, claimed, pieces_named, without, written_kind

Statements: TypeAlias = tuple[tree.Statement, ...]


ChangeOfStyle: TypeAlias = tree.ChangePiece | tree.ChangeSheet | tree.ChangeRecipe
Row: TypeAlias = tree.LevelRow | tree.AllowRow
Known: TypeAlias = dict[str, dict[object, None]]  # sort of thing -> names of those that are there
N = TypeVar("N", bound=tree.Node)


class Bodied(Protocol):
    """A statement that can have others below it."""

    @property
    def body(self) -> tree.Body | None: ...


class Damaged(Protocol):
    """A piece or sheet of which something may be missing."""

    damaged: bool


class Amended(NamedTuple):
    """What holds, what is wrong, and each new statement or row with an old one in whose place it stands, or that it takes away."""

    lists: tuple[Statements, ...]
    diagnostics: list[Diagnostic]
    replaced: list[tuple[tree.Node, tree.Node]]


CHANGES_OF_STYLE = (tree.ChangePiece, tree.ChangeSheet, tree.ChangeRecipe)
CHANGE_FORMS = (tree.Change, PendingChange)
OUT_OF_PLACE = (tree.StartFrom, tree.Change, *CHANGES_OF_STYLE)
FORMS = {tree.Rule: "rule", tree.RuleSteps: "rule", tree.Recipe: "recipe", tree.Check: "check"}


def started(base: Sequence[tree.Statement], own: Sequence[tree.Statement], skipped_names: Set[str] = frozenset()) -> Amended:
    """The statements of a style that starts from another: all of the base but its examples, with its own in their place."""
    amending = _Amending([node for node in own if not isinstance(node, tree.StartFrom)], skipped_names)
    amending.removals["example",] = None
    (statements,), diagnostics, replaced = amending.run((base,))
    return Amended((statements,), [*diagnostics, *_still_named(statements, own)], replaced)


def carried_out(lists: Sequence[Sequence[tree.Statement]], skipped_names: Set[str] = frozenset()) -> Amended:
    """Lists of statements (of the recipe, if any, and of the piece or sheet itself) after the changes among the latter."""
    *before, own = map(tuple, lists)
    diagnostics: list[Diagnostic] = []
    replaced: list[tuple[tree.Node, tree.Node]] = []
    held: tuple[Statements, ...] = (*before, tuple(node for node in own if not isinstance(node, CHANGE_FORMS)))
    for change in own:
        if isinstance(change, tree.Change):  # of the recipe alone; what is said beside it needs no change
            if not before:
                diagnostics.append(out_of_place(change))
                continue
            amended = _Amending(statements_in(change), skipped_names, strict=True, wrap=True).run(held[:-1])
            held = (*amended.lists, held[-1])
        elif isinstance(change, PendingChange):
            amended = _Amending(change.statements, skipped_names, wrap=bool(before)).run(held)
            held = amended.lists
        else:
            continue
        diagnostics += amended.diagnostics
        replaced += amended.replaced
    return Amended(held, diagnostics, replaced)


def amended_statements(
    lowering: Lowering, node: Bodied, *before: Sequence[tree.Statement], drawing: Damaged | None = None
) -> tuple[Statements, ...]:
    """The statements of a piece, sheet or recipe after what changes it; mistakes go to the lowering.  `before`: those of its recipe."""
    own = statements_in(node)
    lists, diagnostics, replaced = carried_out((*before, own), lowering.skipped_names)
    lowering.diagnostics += diagnostics
    lowering.replaced += replaced
    if drawing is not None:
        drawing.damaged |= any(lowering.is_damaged(change.span) for change in own if isinstance(change, CHANGE_FORMS))
    return lists


def statements_in(node: Bodied) -> Statements:
    return (node.body.statements or ()) if node.body is not None else ()


def plain(node: Bodied) -> Statements:
    """What a piece says for itself, where its recipe is not to be found."""
    return tuple(inner for inner in statements_in(node) if not isinstance(inner, CHANGE_FORMS))


def out_of_place(node: tree.Statement) -> Diagnostic:
    """What is said of `start from`, `change` and `without` where nothing is there to start from or to change."""
    if isinstance(node, tree.StartFrom):
        return Diagnostic(
            "N221",
            "start from stands first in a style",
            node.head,
            "one start from, directly below the heading",
            "start from elsewhere",
            "Move it up, directly below the heading, or take it out.",
        )
    if isinstance(node, tree.Change):
        return Diagnostic(
            "N223",
            "There is no recipe here to change",
            node.head,
            "change in a piece that is made from a recipe",
            "a piece without a recipe, or change below another statement",
            "Change the statements themselves, or set change directly below: piece ... from RECIPE(...)",
        )
    return Diagnostic(
        "N223",
        "There is nothing here to change",
        node.head,
        "a style that says start from, or a change of a recipe",
        node.written,
        "Change the statement where it stands, or start from another style.",
    )


# ------------------------------------------------------------ one set of new statements


class _Amending:
    """New statements, sorted by what they do to old ones; `run` does it."""

    def __init__(self, new: Sequence[tree.Statement], skipped_names: Set[str], strict: bool = False, wrap: bool = False) -> None:
        self.skipped_names, self.strict, self.wrap = skipped_names, strict, wrap
        self.diagnostics: list[Diagnostic] = []
        self.replaced: list[tuple[tree.Node, tree.Node]] = []
        self.removals: dict[tree.Key, tree.Statement | None] = {}
        self.changes: dict[tree.Key, ChangeOfStyle] = {}
        self.claims: dict[tree.Key, list[tree.Statement]] = {}
        self.rows: dict[tree.Key, Row] = {}
        self.table: tree.Widths | None = None  # widths
        self.whens: list[tree.When] = []
        self.others: list[tree.Statement] = []  # in order: what may be left over to be added
        for node in new:
            self._sort(node)
        self.matched: set[tree.Key] = set()
        self.settled: set[int] = set()  # new statements and rows that have found a place
        self.inserted: list[tree.Statement] = []  # what stands in the lists as new

    def _sort(self, node: tree.Statement) -> None:
        if without(node):
            self.removals.update(dict.fromkeys(node.all_keys(), node))
            return
        if isinstance(node, CHANGES_OF_STYLE):
            (key,) = node.all_keys()
            if key in self.changes:
                self._report(
                    "N228",
                    f'"{node.name}" is changed twice',
                    node.name.span,
                    "one change of each",
                    "a second",
                    "Say both in one change.",
                    ((self.changes[key].span, "first changed here"),),
                )
            self.changes.setdefault(key, node)
            return
        if isinstance(node, tree.When):
            self.whens.append(node)
            return
        self.others.append(node)
        if isinstance(node, (tree.Levels, tree.Allow)):
            for row in node.rows:
                self.rows.setdefault(row.key, row)
        elif isinstance(node, tree.Widths):
            self.table = self.table or node
        else:
            for key in claimed(node):
                self.claims.setdefault(key, []).append(node)

    def _report(
        self, code: str, title: str, span: Span, expected: str, found: str, suggestion: str, others: Iterable[tuple[Span, str]] = ()
    ) -> None:
        self.diagnostics.append(Diagnostic(code, title, span, expected, found, suggestion, tuple(others)))

    # -------------------------------------------------------- the walk over what is old

    def run(self, lists: Sequence[Sequence[tree.Statement]]) -> Amended:
        old = [tuple(statements) for statements in lists]
        # A new statement goes where the old one stands bare; only where none does, into the `when`s that hold it.
        self.unconditional = {
            id(new)
            for statements in old
            for node in statements
            if not isinstance(node, tree.When)
            for key in node.all_keys()
            if key not in self.removals
            for new in self.claims.get(key, ())
        }
        held = [self._walked(statements, True) for statements in old]
        held[-1] += self._left_over()
        for when in self.whens:
            self._under(when, held)
        self._report_unmatched(old)
        return Amended(tuple(map(tuple, held)), self.diagnostics, self.replaced)

    def _walked(self, statements: Sequence[tree.Statement], at_top: bool) -> list[tree.Statement]:
        held: list[tree.Statement] = []
        placed_here: set[int] = set()
        for node in statements:
            if isinstance(node, tree.When):
                held += self._walked_when(node)
            else:
                held += self._in_place_of(node, at_top, placed_here)
        return held

    def _walked_when(self, node: tree.When) -> list[tree.Statement]:
        then = self._walked(statements_in(node), False)
        otherwise = self._walked(statements_in(node.otherwise), False) if node.otherwise is not None else []
        return [_when(node, then, otherwise)] if then or otherwise else []

    def _in_place_of(self, node: tree.Statement, at_top: bool, placed_here: set[int]) -> list[tree.Statement]:
        """What holds instead of an old statement: itself, a part of it, or new ones."""
        if isinstance(node, Substituted):
            assert isinstance(node.statement, tree.Statement)  # rows are not taken one by one
            rests = self._in_place_of(node.statement, at_top, placed_here)
            return [rest if any(rest is new for new in self.inserted) else Substituted(rest.span, rest) for rest in rests]
        keys = node.all_keys()
        if removed := [key for key in keys if key in self.removals]:
            self.matched.update(removed)
            self.replaced += [(removal, node) for key in removed if (removal := self.removals[key]) is not None]
            if isinstance(node, tree.CutApart) and len(removed) < len(keys):
                self._part_of_cut(self.removals[removed[0]], node)
                return [node]
            left = _without(node, removed)
            if left is None:
                return []
            node = left
        if changed := [key for key in keys if key in self.changes]:
            self.matched.update(changed)
            return [_changed(node, self.changes)]
        if isinstance(node, (tree.Levels, tree.Allow)):
            return self._with_rows(node, at_top)
        if isinstance(node, tree.Widths) and self.table is not None:
            self.settled.add(id(self.table))
            return [self._with_widths(node, self.table)]
        hits = [key for key in node.all_keys() if key in self.claims and key not in self.removals]
        replacements = list({id(new): new for key in hits for new in self.claims[key]}.values())
        if not replacements:
            return [node]
        self.matched.update(hits)
        self.settled.update(map(id, replacements))
        self.replaced += [(new, node) for new in replacements]
        unlike = [self._unlike(new, node) for new in replacements]  # each is reported
        if any(unlike):
            return [node]
        if isinstance(node, tree.CutApart) and not any(isinstance(new, tree.CutApart) for new in replacements):
            self._part_of_cut(replacements[0], node)
            return [node]
        placed = [new for new in replacements if id(new) not in placed_here and (at_top or id(new) not in self.unconditional)]
        placed_here.update(map(id, placed))
        if at_top:
            placed = [new for new in placed if not any(new is inserted for inserted in self.inserted)]
        whole = any(type(new) is type(node) for new in replacements) and not isinstance(node, tree.TakenIn)
        rest = None if whole else _without(node, hits, redefined=True)
        self.inserted += placed
        return [*(self._wrapped(_completed(new, node)) for new in placed), *([rest] if rest is not None else [])]

    def _wrapped(self, node: tree.Statement) -> tree.Statement:
        if not self.wrap:
            self.inserted.append(node)
            return node
        self.inserted.append(Substituted(node.head, node))
        return self.inserted[-1]

    def _unlike(self, new: Any, old: tree.Statement) -> bool:
        """A name said anew as something else: then the old one holds, and this is said."""
        new_kind, old_kind = FORMS.get(type(new), ""), FORMS.get(type(old), "")
        if (new_kind, old_kind) == ("", ""):
            new_kind, old_kind = (
                written_kind(new, new.name) if hasattr(new, "name") else "",
                written_kind(old, getattr(new, "name", "")),
            )
        if not new_kind or not old_kind or new_kind == old_kind:
            return False
        self._report(
            "N220",
            f'"{new.name}" was a {old_kind} and is now a {new_kind}',
            new.name.span,
            f"a {old_kind}",
            f"a {new_kind}",
            "Write it as what it was, or use another name.",
            ((old.head, "what it was"),),
        )
        return True

    def _part_of_cut(self, new: Any, cut: tree.CutApart) -> None:
        self._report(
            "N226",
            f'"{new.name}" is one part of a cut',
            new.name.span,
            "the cut said anew, with all its parts",
            f'"{new.name}" alone',
            f"Say the whole cut anew, or: change piece {new.name}",
            ((cut.head, "the cut"),),
        )

    # -------------------------------------------------------- rows

    def _with_rows(self, node: tree.Levels | tree.Allow, at_top: bool) -> list[tree.Statement]:
        pieces = {key[1] for key in self.removals if key[0] == "piece"}
        rows: list[Any] = []
        for row in node.rows:
            new = self.rows.get(row.key)
            if new is not None:
                self.settled.add(id(new))
                self.replaced.append((new, row))
                self.matched.add(row.key)
                rows.append(new)
            elif not (pieces and pieces & dict(pieces_named(row)).keys()):
                rows.append(row)
        if at_top and isinstance(node, tree.Levels):
            for levels in (added for added in self.others if isinstance(added, tree.Levels)):
                rows, _ = _side_by_side(rows, levels.rows, lambda row: str(row.name))
                rows.sort(key=lambda row: not isinstance(row, tree.LevelFirst))  # from which the others are counted
                self.settled.update(id(row) for row in levels.rows if any(row is placed for placed in rows))
        return [_with(node, rows=tuple(rows))] if rows else []

    def _with_widths(self, node: tree.Widths, table: tree.Widths) -> tree.Widths:
        rows, unplaced = _side_by_side(node.rows, table.rows, lambda row: str(getattr(row, "statement", row).level))
        for row in unplaced:
            self._report(
                "N225",
                f'Where in the table does "{row.level}" stand?',
                row.span,
                "a row beside one that the table has",
                f'only "{row.level}"',
                "Repeat also the row above or below it.",
                ((node.head, "the table"),),
            )
        if self.wrap:
            rows = [Substituted(row.span, row) if any(row is new for new in table.rows) else row for row in rows]
        return _with(node, origin=table.origin, counted=table.counted, rows=tuple(rows))

    def _left_over(self) -> list[tree.Statement]:
        """New statements, or their rows, that took no old one's place: they are added."""
        added = []
        for node in self.others:
            if isinstance(node, (tree.Levels, tree.Allow)):
                rows = tuple(row for row in node.rows if id(row) not in self.settled)
                if not rows:
                    continue
                node = _with(node, rows=rows)
            elif id(node) in self.settled:
                continue
            if self.strict:
                self._report_no_effect(
                    node,
                    "The recipe says nothing that this could replace",
                    "a statement of the recipe said anew",
                    "To add something new, say it beside change, not below.",
                )
                continue
            added.append(self._wrapped(node))
        return added

    # -------------------------------------------------------- new whens

    def _under(self, when: tree.When, lists: list[list[tree.Statement]]) -> None:
        """New statements under a `when`: the old ones they replace hold where it does not.  So the old ones are set below the
        new `when`, amended in its two branches each by its own."""
        wanted, inserted = set(claimed(when)), set(map(id, self.inserted))
        taken = [[node for node in statements if id(node) not in inserted and wanted & set(node.all_keys())] for statements in lists]
        branches = []
        for part in (when, when.otherwise):
            branch = _Amending(statements_in(part) if part is not None else (), self.skipped_names, self.strict, self.wrap).run(taken)
            branches.append(branch.lists)
            self.diagnostics += branch.diagnostics
            self.replaced += branch.replaced
        for statements, old, then, otherwise in zip(lists, taken, *branches, strict=True):
            if not (then or otherwise):
                continue
            merged = _when(when, then, otherwise, SubstitutedWhen if self.wrap else tree.When)
            self.inserted.append(merged)
            at = next((index for index, node in enumerate(statements) if any(node is replaced for replaced in old)), len(statements))
            statements[:] = [node for node in statements if not any(node is replaced for replaced in old)]
            statements.insert(at, merged)

    # -------------------------------------------------------- what names nothing

    def _report_unmatched(self, lists: Sequence[Statements]) -> None:
        known: Known = {}
        for key in {key: None for statements in lists for node in statements for key in node.all_keys()}:
            known.setdefault(str(key[0]), {})[key[-1]] = None
        nodes = {id(node): node for node in [*self.removals.values(), *self.changes.values()] if node is not None}
        for node in nodes.values():
            if self.matched.isdisjoint(node.all_keys()):
                self._report_unknown(node, known)

    def _report_unknown(self, node: tree.Statement, known: Known) -> None:
        sorts = list(dict.fromkeys(str(key[0]) for key in node.all_keys()))
        candidates = list(dict.fromkeys(name for sort in sorts for name in known.get(sort, ()) if isinstance(name, str)))
        expected, name = f"one of: {', '.join(candidates[:12])}" if candidates else "", getattr(node, "name", None)
        if name is None:
            self._report_no_effect(
                node,
                "There is no such statement to take away",
                expected or "a statement that stands there",
                "Say it in the words of the statement that you mean.",
            )
            return
        if name in self.skipped_names:
            return
        sort = {"rule": "recipe", "level at": "level"}.get(sorts[0], sorts[0]) if len(sorts) == 1 else ""
        way_out = did_you_mean(name, candidates)
        if not way_out and not sort and name in known.get("piece", ()):
            way_out = f"To take the piece away say: without piece {name}"
        if not sort and name in ("zip", "notch") and name in known:
            way_out = f"Say on which edge: without {name} on {next(iter(known[name]))}"
        self._report(
            "N201",
            f'{f"No {sort}" if sort else "Nothing"} to {"take away" if without(node) else "change"} is called "{name}"',
            name.span,
            "" if way_out else expected or f"the name of {f'a {sort}' if sort else 'something that stands there'}",
            f'"{name}"',
            way_out or "Name something that is said in what this starts from.",
        )

    def _report_no_effect(self, node: tree.Statement, title: str, expected: str, way_out: str) -> None:
        written = node.written
        if not set(written.replace(",", " ").split()) - {"without"} <= self.skipped_names:
            self._report("N222", title, node.head, expected, written, way_out)


def _side_by_side(old: Sequence[Any], new: Sequence[Any], name: Callable[[Any], str]) -> tuple[list[Any], list[Any]]:
    """Rows in their order, and new ones that have no place in it.  A new row takes the place of the old one of its name, or
    stands below the row, else above the one, that it stands by among the new ones."""
    rows, names = list(old), [name(row) for row in new]
    unplaced = []

    def place(name_sought: str) -> int | None:
        return next((at for at, row in enumerate(rows) if name(row) == name_sought), None)

    for at, row in enumerate(new):
        own = place(names[at])
        above = next((index for neighbour in reversed(names[:at]) if (index := place(neighbour)) is not None), None)
        below = next((index for neighbour in names[at + 1 :] if (index := place(neighbour)) is not None), None)
        if own is not None and names.index(names[at]) == at:
            rows[own] = row
        elif above is not None:
            rows.insert(above + 1, row)
        elif below is not None:
            rows.insert(below, row)
        else:
            unplaced.append(row)
    return rows, unplaced


def words_replaced(new: tree.Node, old: tree.Node) -> Iterator[tuple[tree.Word, tree.Word]]:
    """The names of a statement that stand for one in the statement in whose place it stands, or that it takes away."""
    if isinstance(new, tree.Taking):
        first = {str(word): word for word in reversed(list(old.tokens()))}
        yield from ((word, first[word]) for word in new.tokens() if word.type in ("NAME", "NUMBER") and word in first)
        return
    given = {str(word): word for word, _ in names_given(old)}
    yield from ((word, given[word]) for word, _ in names_given(new) if word in given)


# ------------------------------------------------------------ statements with other parts


def _with(node: N, **parts: Any) -> N:
    """The same node with some fields changed."""
    return replace(node, **parts)


def _when(
    node: tree.When, then: Sequence[tree.Statement], otherwise: Sequence[tree.Statement], form: type[tree.When] | None = None
) -> tree.When:
    place = node.body.span if node.body is not None else node.head
    alternative = tree.Otherwise(place, tree.Body(place, tuple(otherwise))) if otherwise else None
    return (form or type(node))(node.span, node.condition, tree.Body(place, tuple(then)), alternative, own=node.own)


def _changed(node: Any, changes: Mapping[tree.Key, ChangeOfStyle]) -> tree.Statement:
    """A piece, sheet or recipe with its change among its statements, to be carried out when these are gathered."""
    if isinstance(node, tree.CutApart):
        inner = tuple(_changed(part, changes) if set(part.all_keys()) & changes.keys() else part for part in statements_in(node))
        cut: tree.CutApart = _with(node, body=tree.Body(node.body.span, inner))
        return cut
    change = changes[node.all_keys()[0]]
    parts: dict[str, object] = {
        "body": tree.Body(change.head, (*statements_in(node), PendingChange(change.head, statements_in(change))))
    }
    for field in ("title", "recipe"):
        if getattr(change, field, None) is not None:
            parts[field] = getattr(change, field)
    changed: tree.Statement = _with(node, **parts)
    return changed


def _completed(new: tree.Statement, old: tree.Statement) -> tree.Statement:
    """A choice said anew keeps the range and the text that it does not say."""
    if not (isinstance(new, tree.Choose) and isinstance(old, tree.Choose)):
        return new
    return _with(new, range=new.range or old.range, text=new.text or old.text)


def _defined_elsewhere(part: tree.DivisionRow) -> tree.DivisionRow:
    """A part of a division whose value another statement gives; no text is read as this."""
    return tree.Part(part.span, part.name, None)  # type: ignore[arg-type]  # what is written has a value


def _without(node: tree.Statement, hits: Collection[tree.Key], redefined: bool = False) -> tree.Statement | None:
    """What is left of an old statement; None where nothing is.

    A part of a division that is said anew elsewhere still counts in it, and the points that divide a way keep their steps.
    """
    if isinstance(node, tree.Divide):
        parts = [
            part if ("quantity", part.name) not in hits else _defined_elsewhere(part) if redefined else None for part in node.parts
        ]
        remaining = tuple(part for part in parts if part is not None)
        return _with(node, parts=remaining) if remaining and (redefined or len(remaining) < len(node.parts)) else None
    if isinstance(node, tree.Division):
        names = tuple(None if ("point", name) in hits else name for name in node.names)
        return _with(node, names=names) if any(names) else None
    if isinstance(node, tree.TakenIn):
        rows = () if ("taken", node.edge) in hits else tuple(row for row in node.rows if ("taken", node.edge, row.level) not in hits)
        return _with(node, rows=rows) if rows else None
    return None


# ------------------------------------------------------------ a piece taken away


def _piece_taken(node: tree.Node) -> tree.Word | None:
    """The name of the piece that a statement takes away."""
    return node.name if isinstance(node, tree.Without) and node.of is tree.Piece else None


def _still_named(statements: Sequence[tree.Statement], own: Sequence[tree.Statement]) -> list[Diagnostic]:
    """Pieces taken away that other statements still name: each is an error that shows these."""
    diagnostics = []
    left = {key[-1] for node in statements for key in node.all_keys() if key[0] == "piece"}
    for node in own:
        name = _piece_taken(node)
        if name is None or name in left:
            continue
        uses = [(statement, dict(pieces_named(statement))[name]) for statement in statements if name in dict(pieces_named(statement))]
        if uses:
            seam = next((statement for statement, _ in uses if isinstance(statement, tree.Sew)), None)
            way_out = "Say these anew without it, or take them away."
            if seam is not None:
                way_out = f"Take the seam away too: without {seam.written.partition(',')[0]}"
            diagnostics.append(
                Diagnostic(
                    "N224",
                    f'The piece "{name}" is still needed',
                    name.span,
                    "nothing left that names the piece",
                    f"{len(uses)} statement{'s' * (len(uses) > 1)}",
                    way_out,
                    tuple((span, "names it") for _, span in uses[:6]),
                )
            )
    return diagnostics
