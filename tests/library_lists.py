"""The lists of the standard library in `stdlib/README.md`, as they are made from its texts.

Run as a script it writes them into the page: `python tests/library_lists.py`.  They stand between two marked lines; what is above
and below these is written by hand.
"""

import re
from pathlib import Path

from tapeline.desk.libraries import standard_libraries
from tapeline.meaning.catalogue import Catalogue, CatalogueEntry

PAGE = Path(__file__).parents[1] / "stdlib" / "README.md"
BEGIN = "<!-- The lists from here on are made from the texts by tests/library_lists.py. -->"
END = "<!-- Here the lists end. -->"
COMMAND = "python tests/library_lists.py"


def lists() -> str:
    """All lists, as they should stand between the marked lines."""
    return "\n".join(section(library) for library in standard_libraries() if library.entries)


def section(library: Catalogue) -> str:
    return f"## {library.name}: {plain(library.title)}\n\n{plain(library.prose)}\n\n" + "\n".join(map(entry_list, library.entries))


def entry_list(entry: CatalogueEntry) -> str:
    heading = f"### `{entry.sort} {entry.name}`" + (f" {plain(entry.title)}" if entry.title else "")
    rows = [f"| `{one.name}` | {one.kind} | {plain(one.text)} |" for one in entry.parameters]
    table = "\n".join(["| parameter | kind | what it is |", "|---|---|---|", *rows])
    gives = f"\n\nIt gives `{entry.gives}`." if entry.gives else ""
    return f"{heading}\n\n{plain(entry.text)}\n\n{table}{gives}\n"


def plain(text: str) -> str:
    """A text in which no letter but a backtick is a sign to Markdown."""
    parts = re.split(r"(`[^`]*`)", text)
    return "".join(part if part.startswith("`") else re.sub(r"([*_<|\\])", r"\\\1", part) for part in parts)


def page(text: str) -> str:
    """The text of the page with its lists made anew.  ValueError where a marked line is missing."""
    above, rest = text.split(BEGIN + "\n")
    _, below = rest.split(END)
    return f"{above}{BEGIN}\n\n{lists()}\n{END}{below}"


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
