"""What is told of a name, a statement, a function or a code: short texts in Markdown, the same in hover and in completion."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from ..meaning.catalogue import Catalogue, CatalogueEntry, catalogue, entry_of
from ..meaning.functions import FUNCTIONS
from ..meaning.index import MEASUREMENT, Definition
from ..meaning.lowering import article_of
from ..session import Reading
from ..source.text import Source
from ..source.world import read_text, standard_folder
from ..syntax import tree
from ..syntax.forms import RECORDS, Node
from ..syntax.parser import parse
from ..syntax.trivia import trivia

MOST_TEXTS = 64  # whose rules, recipes and checks are remembered
CALLED = ("rule", "recipe", "check")
_TITLED = re.compile(r'^(?:style|library)[ \t]+\w+[ \t]+"([^"\n]*)"', re.MULTILINE)
_HEADED = re.compile(r"^(library|style)\b", re.MULTILINE)
_SIGNS = str.maketrans({sign: f"\\{sign}" for sign in "\\`*_[]<>#|"})

Values = Mapping[str, str]  # what each name comes to for the chosen body, as people write it; "" -> for whom


def plain(text: str) -> str:
    """A text that is no markup."""
    return text.translate(_SIGNS)


def told_of_name(definition: Definition, values: Values) -> str:
    """A name: what it is, what it comes to, what is said of it, what it takes, and where it is defined."""
    sort = definition.sort if definition.kind in ("", definition.sort) else f"{definition.sort}, {article_of(definition.kind)}"
    owner = f" of {definition.owner}" if definition.owner else ""
    lines = [f"**{plain(definition.name)}**: {article_of(sort)}{plain(owner)}"]
    value = values.get(definition.dotted)
    if value is not None:
        lines[0] += f"; **{plain(value)}**" + (f" for {plain(values[''])}" if values.get("") else "")
    entry = entry_behind(definition)
    if entry is not None:
        lines.append(f"`{signature(entry)}`")
    title, colon, taken = definition.text.partition(": ") if definition.sort in ("measure", MEASUREMENT) else (definition.text, "", "")
    if title:
        lines.append(plain(title if title.endswith((".", "?", "!")) else f"{title}."))
    if taken:
        lines.append(f"How it is taken: {plain(taken.rstrip('.'))}.")
    if entry is not None and entry.parameters:
        lines.append(
            "\n".join(
                f"- `{one.name}`, {article_of(one.kind)}" + (f": {plain(one.text)}" if one.text else "") for one in entry.parameters
            )
        )
    if entry is not None and entry.gives:
        lines.append(f"It gives `{entry.gives}`.")
    lines.append(f"*{plain(repr(definition.span))}*")
    return "\n\n".join(lines)


def entry_behind(definition: Definition) -> CatalogueEntry | None:
    """A rule, recipe or check as it is written, with its parameters."""
    return entry_at(definition.span.source, definition.name, definition.sort) if definition.sort in CALLED else None


def entry_at(source: Source, name: str, sort: str) -> CatalogueEntry | None:
    return _entries(source).get((sort, name))


@lru_cache(maxsize=MOST_TEXTS)
def _entries(source: Source) -> dict[tuple[str, str], CatalogueEntry]:
    """What a text gives that can be called, by sort and name."""
    parsed = parse(source)
    called = [one for one in parsed.tree.statements or () if isinstance(one, (tree.Rule, tree.RuleSteps, tree.Recipe, tree.Check))]
    above = trivia(parsed.tree, parsed.comments).above if called else {}
    entries = [entry_of(one, above.get(one, ())) for one in called]
    return {(entry.sort, entry.name): entry for entry in entries}


def signature(entry: CatalogueEntry) -> str:
    """How it is called: `quarter_of_girth of (girth, ease, more)`."""
    names = ", ".join(parameter.name for parameter in entry.parameters)
    return f"{entry.name} of ({names})" if entry.sort == "rule" else f"{entry.name} ({names})"


def told_of_statement(form: type[Node]) -> str:
    """A statement, by its keyword."""
    record = next((record for known, record in RECORDS.items() if known is form), None)
    if record is not None:
        return plain(record.documentation)
    return plain(" ".join((form.__doc__ or "").split())) if form.__doc__ and "(" not in form.__doc__[:30] else ""


def told_of_function(name: str) -> str:
    function = FUNCTIONS[name]
    return f"`{function.form}` gives {plain(function.doc)}."


def told_of_library(reading: Reading, name: str) -> str:
    """A library, by what its text says of it."""
    source = reading.world.library(name)
    listed = None if source is None else catalogue(parse(source))
    return "" if listed is None else _told_of(listed)


def _told_of(listed: Catalogue) -> str:
    holds = [(len([entry for entry in listed.entries if entry.sort == sort]), sort) for sort in CALLED]
    numbers = ", ".join(f"{number} {sort}{'s' if number > 1 else ''}" for number, sort in holds if number)
    return "\n\n".join(
        filter(None, [f"**{plain(listed.name)}**: {plain(listed.title)}", plain(listed.prose), numbers and f"{numbers}."])
    )


def told_of_style(reading: Reading, name: str) -> str:
    """A style, by its heading."""
    return titled(name, reading.world.style(name))


def titled(name: str, source: Source | None) -> str:
    """A style or library by the title in its heading, for which no more of it is read."""
    heading = None if source is None else _TITLED.search(source.text)
    return "" if heading is None else f"**{plain(name)}**: {plain(heading[1])}"


def headed(source: Source | None) -> str:
    """Whether a text says it is a `library` or a `style`; empty where it says neither."""
    heading = None if source is None else _HEADED.search(source.text)
    return "" if heading is None else heading[1]


def told_of_code(code: str) -> str:
    """The heading of a code's page and what it says first; empty where there is no such page."""
    source, _ = read_text(standard_folder("pages") / f"{code}.md", code)
    if source is None:
        return ""
    first, _, rest = source.text.partition("\n")
    return f"**{first.removeprefix('# ')}**\n\n{rest.strip().partition(chr(10) * 2)[0]}"
