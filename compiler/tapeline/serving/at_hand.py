"""Bodies, houses and size tables that are at hand for a style: those beside it, then those that come with the program."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path, PurePath

from ..source.world import LIBRARIES, STYLES, World, standard_folder

_BODY = re.compile(r"^\[measures", re.MULTILINE)
_HOUSE = re.compile(r"^(?:\[(?:allowances|prices|labour)|(?:paper|fraction|language|bones|drill|cloth|notch)\w*\s*=)", re.MULTILINE)


def at_hand(world: World, text: Path | None) -> dict[str, list[dict[str, str]]]:
    """Each as {name, uri}; what lies beside the text is told from cards and houses by what it says."""
    bodies, houses = [], []
    tables = [_entry(path) for path in _beside(world, text, ".csv")]
    for path in _beside(world, text, ".toml"):
        source, _ = world.text(path)
        if source is not None and _BODY.search(source.text):
            bodies.append(_entry(path))
        elif source is not None and _HOUSE.search(source.text):
            houses.append(_entry(path))
    own = standard_folder(STYLES)
    bodies += [_entry(path) for path in sorted((own / "bodies").glob("*.toml"))]
    houses += [_entry(path) for path in sorted((own / "houses").glob("*.toml"))]
    tables += [_entry(path) for path in sorted((standard_folder(LIBRARIES) / "sizes").glob("*.csv"))]
    return {"bodies": _once(bodies), "houses": _once(houses), "tables": _once(tables)}


def _beside(world: World, text: Path | None, suffix: str) -> Iterator[PurePath]:
    yield from () if text is None else world.folder(PurePath(text.parent), suffix) or ()


def _entry(path: PurePath) -> dict[str, str]:
    return {"name": path.stem, "uri": Path(path).resolve().as_uri()}


def _once(entries: list[dict[str, str]]) -> list[dict[str, str]]:
    return list({entry["uri"]: entry for entry in entries}.values())
