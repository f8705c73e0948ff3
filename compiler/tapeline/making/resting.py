"""What a draft rests on besides the body and the choices, as marks that change with it: the program, the style's own rules, those
used of each library, and the house.  So it can be told later, without a draft, what has changed since.
"""

from __future__ import annotations

from dataclasses import fields
from hashlib import sha256

from ..meaning.fingerprint import in_letters
from ..meaning.style import Style
from ..paper.house.house import House
from ..version import __version__


def rests_on(style: Style, house: House) -> dict[str, object]:
    """{program, style, libraries: name -> mark, house}."""
    parts = style.fingerprints[1]
    return {
        "program": __version__,
        "style": parts.get("", ""),
        "libraries": {name: mark for name, mark in parts.items() if name},
        "house": house_mark(house),
    }


def house_mark(house: House) -> str:
    """A mark of all that a house says; where it says it counts for nothing."""
    said = {field.name: getattr(house, field.name) for field in fields(house) if field.name != "allowances"}
    allowances = {name: (usual.width, usual.kind) for name, usual in sorted(house.allowances.items())}
    return in_letters(sha256(repr((said, allowances)).encode()).digest())
