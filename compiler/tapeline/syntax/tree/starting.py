"""Starting from a style, and changing what is there."""

from __future__ import annotations

from ..forms import RECORDS, Key, Statement, Where, Word, form, group, keyed, statement
from .pieces import FromWhat
from .words import Body, Ref


@statement('"start from" NAME _NL', Where.STYLE)
class StartFrom(Statement):
    """The style has all rules of another, and changes some of them."""

    name: Word


@statement('"change piece" NAME [STRING] [from_what] _NL [body]', Where.STYLE, keyed("piece", "name"))
class ChangePiece(Statement):
    """A piece of the style that this one starts from, with some of its rules said anew, added or taken away."""

    name: Word
    title: Word | None
    recipe: FromWhat | None
    body: Body | None


@statement('"change sheet" NAME _NL body', Where.STYLE, keyed("sheet", "name"))
class ChangeSheet(Statement):
    """A sheet of shared points of the style that this one starts from, changed likewise."""

    name: Word
    body: Body


@statement('"change recipe" NAME _NL body', Where.STYLE, keyed("rule", "name"))
class ChangeRecipe(Statement):
    """A recipe of the style that this one starts from, changed likewise."""

    name: Word
    body: Body


@statement('"change" _NL body', Where.PIECE)
class Change(Statement):
    """What a piece says otherwise than the recipe that it is made from."""

    body: Body


# ------------------------------------------------------------------------------------------- taking away


@group
class Taking(Statement):
    """What is taken away from the rules that are there."""

    @property
    def name(self) -> Word | None:
        """The name of what is taken away, where it has one."""
        return None


@form
class WithoutNamed(Taking):
    what: Word

    @property
    def name(self) -> Word:
        return self.what

    def all_keys(self) -> tuple[Key, ...]:
        return tuple((sort, str(self.what)) for sort in ("point", "edge", "quantity", "dart", "run", "single"))


@group
class Without(Taking):
    """Takes away a statement of the form that it names."""

    of: type[Statement]
    values: tuple[Word | Ref | tuple[Ref, ...], ...]  # those that its key is made of

    @property
    def name(self) -> Word | None:
        key = RECORDS[self.of].key
        first = self.values[0] if self.values else None
        return first if key is not None and key.names[:1] == ("name",) and isinstance(first, Word) else None

    def all_keys(self) -> tuple[Key, ...]:
        key = RECORDS[self.of].key
        return key.make(*self.values) if key is not None else ()
