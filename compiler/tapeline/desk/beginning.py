"""What a new style begins with: a small style with comments, a card to fill in, and a house file.

The style is a half-circle skirt on a band, since one measure draws it.  The card says of each measure that the style asks for how it
is taken; its figures are invented, and say so.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from itertools import chain
from pathlib import Path

from ..bodies.measurement import Measurement
from ..making.writing import write_all
from ..source.diagnostics import Diagnostic, refused

_STYLE = """language 1
style {name} "{title}" version 1.0
    "Half a circle on a straight band, with a zip at the back."

-- Two hyphens begin a comment: the program passes it over.
-- A library has recipes to draw from: tapeline explain skirt
use skirt

-- What is taken of the body: tapeline explain waist
measure waist

-- What may be chosen: as usual, how far, and what it means.
choose length     60 cm or 24 in   from 35 cm to 100 cm "waist to hem"
choose waist_ease  1 cm or 1/2 in  from  0 cm to   4 cm "ease at the waist, all round"
choose band_depth  3 cm or 1 1/4 in from 2 cm to   6 cm "finished depth of the waistband"

-- A sum that several rules need gets a name.
around = waist + waist_ease

levels
    waist
    hem  length below waist

-- A piece from a recipe, which is given half the waist, the
-- length, and the angle from the fold to the seam.
piece skirt "Skirt" from half_sector (around / 2, length, 90 deg)
    cut 1 on fold at centre
    level waist along waist
    level hem along hem
    point zip_foot waist_seam toward hem_seam by 18 cm
    zip on seam from waist_seam to zip_foot

piece band "Waistband" from straight_band (around, band_depth, 3 cm)

sew skirt.seam to skirt.seam
sew skirt.waist to band.lower

-- What is added outside the stitching lines.
allow
    seam   1.5 cm for zip
    hem    1 cm
    others 1 cm

-- What must come true for every body, measured on its draft.
require length of skirt.waist is around / 2
    "The waist is not as long as was asked for"
"""

_CARD = """# A card to fill in: put her name and her figures in place of these, which are INVENTED, of the workshop Quay Row.
name = "Nobody yet"
note = "invented figures"

[measures]
"""

_HOUSE = """# How your workshop has its papers. Its name is invented: put your own in its place.
name     = "Quay Row"
unit     = "cm"                      # or "in", then with a line such as: fraction = 8
paper    = "A4"
notch    = "slit"
language = "en"

# On edges that a style does not name in its `allow`.
[allowances]
seam   = "1.5 cm"
hem    = "3 cm turned up"
others = "1 cm"
"""

INVENTED = {"waist": "72 cm"}  # of nobody


def style_text(name: str) -> str:
    """The style, in the one layout."""
    from ..source.text import Source
    from ..tidy.proof import tidied

    title = name.replace("_", " ").capitalize()
    return tidied(Source(f"{name}.style", _STYLE.format(name=name, title=title)))[0]


def card_text(measurements: Mapping[str, Measurement]) -> str:
    """The card, with how each of these measures is taken above its figure."""
    rows = ((f"# {one.title}: {one.taken}", f'{name} = "{INVENTED[name]}"') for name, one in measurements.items())
    return _CARD + "\n".join(chain.from_iterable(rows)) + "\n"


def beginnings(name: str) -> dict[str, str]:
    """File name -> text: the style, the card and the house file."""
    from ..session import Session

    text = style_text(name)
    style = Session().read(text, f"{name}.style").sound
    return {
        f"{name}.style": text,
        f"{name}.toml": card_text({measure: style.measurements[measure] for measure in style.needed}),
        "house.toml": _HOUSE,
    }


def write_new(folder: Path, contents: Mapping[str, str]) -> list[Diagnostic]:
    """Write every text under its name in the folder, or none of them where any is there.  F004, F005."""
    there = [folder / name for name in contents if os.path.lexists(folder / name)]
    way_out = "Choose another name, or go to another folder."
    taken = [
        refused(path.as_posix(), "F005", "There is a file of this name already", "a new name", "a file that is there", way_out)
        for path in there
    ]
    return taken or write_all(folder, contents, overwrite=False)[1]
