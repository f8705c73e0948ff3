"""Size tables by name: those that come with the program, and those of `tests/sizes`.

The latter were read on the pages of a dressmaker, a writer and shops.  Their figures are facts that the tests hold drafts against,
each with its source at the head of the file; they do not come with the program.
"""

from pathlib import Path

from tapeline.source.world import standard_folder

SHIPPED = sorted(standard_folder("stdlib").glob("sizes/*.csv"))
PRINTED = sorted(Path(__file__).parent.glob("sizes/*.csv"))


def size_table(name: str | Path) -> Path:
    """The file of a size table, by its bare name or its path.  StopIteration where there is none of that name."""
    path = Path(name)
    return path if path.suffix else next(one for one in (*SHIPPED, *PRINTED) if one.stem == name)
