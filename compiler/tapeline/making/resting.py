"""What a draft rests on besides the body and the choices, as marks that change with it: the program, the style's own rules, those
used of each library, a client's fittings, and the house.  So it can be told later, without a draft, what has changed since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from hashlib import sha256

from ..meaning.fingerprint import FITTINGS, in_letters
from ..meaning.style import Style
from ..paper.house.house import House
from ..version import __version__


def rests_on(style: Style, house: House) -> dict[str, object]:
    """{program, style, libraries: name -> mark, fittings, house}; no mark where there are no fittings."""
    return rests_on_parts(style.fingerprints[1], house)


def rests_on_parts(parts: Mapping[str, str], house: House) -> dict[str, object]:
    """The same from the fingerprints of the parts of a style."""
    return {
        "program": __version__,
        "style": parts.get("", ""),
        "libraries": {name: mark for name, mark in parts.items() if name not in ("", FITTINGS)},
        "fittings": parts.get(FITTINGS),
        "house": house_mark(house),
    }


def house_mark(house: House) -> str:
    """A mark of all that a house says; where it says it counts for nothing."""
    said = {field.name: getattr(house, field.name) for field in fields(house) if field.name != "allowances"}
    allowances = {name: (usual.width, usual.kind) for name, usual in sorted(house.allowances.items())}
    return in_letters(sha256(repr((said, allowances)).encode()).digest())
