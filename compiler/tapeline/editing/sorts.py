"""Of what sort a name is in each place of the language: the one table by which completion knows what may be offered.

A field of a form is told by its own name where that is what it takes (`level`, `edge`, `dart`), and else by form and field.  What gives
a new name stands in neither.  `tests/editing/test_completing.py` holds the table against every use of a name in the shipped styles.
"""

from __future__ import annotations

from ..syntax.items import Slot

POINT, EDGE, DART, LEVEL, PIECE, SHEET = "point", "edge", "dart", "level", "piece", "sheet"
QUANTITIES = ("quantity", "measure", "choice", "parameter", "part")
RULE, RECIPE, CHECK, PARAMETER = "rule", "recipe", "check", "parameter"
LIBRARY, STYLE, MEASUREMENT, MEASUREMENT_KIND = "library", "style", "measurement", "kind"

_FIELDS: dict[str, tuple[str, ...]] = {
    "level": (LEVEL,),
    "edge": (EDGE,),
    "edges": (EDGE,),
    "dart": (DART,),
    "darts": (DART,),
    "piece": (PIECE,),
    "pieces": (PIECE,),
    "sheet": (SHEET,),
    "point": (POINT,),
    "points": (POINT,),
    "corner": (POINT,),
    "centre": (POINT,),
    "recipe": (RECIPE,),
    "lines": (EDGE,),
}
_OF_POINTS = [
    "AcrossFrom",
    "AngleAt",
    "Arc",
    "BaseAlong",
    "BaseHalfAngle",
    "BaseHalfway",
    "Buttonhole",
    "CarriedOn",
    "BaseCarriedOn",
    "Curve",
    "Distance",
    "Division",
    "DownFrom",
    "JoinLine",
    "LineBetween",
    "LineHalfAngle",
    "Mark",
    "MarkAt",
    "OpenStretch",
    "Stretch",
    "Line",
    "InnerPoints",
    "Notch",
    "DartInside",
    "ButtonAt",
    "HookAt",
    "LoopAt",
    "DrillAt",
    "CornerMeant",
    "PlaceLegs",
    "ExpectPoint",
]
_OF_LEVELS = [
    "LevelFrom",
    "LevelHalfway",
    "LevelAlong",
    "LevelAt",
    "RunBowed",
    "RunPlumb",
    "RunSmooth",
    "RunStraight",
    "WidthAs",
    "WidthThan",
]
_OF_EDGES = [
    "Dip",
    "AtThe",
    "RaiseEnd",
    "Corner",
    "CornerOf",
    "LengthOf",
    "ClosedLengthOf",
    "Outline",
    "Edge",
    "Pleats",
    "PleatsAlong",
    "Sew",
    "SewnEdge",
    "Stepping",
    "AtLines",
    "Widths",
    "Hinged",
    "CutLine",
    "CutApart",
    "StopPlace",
]
_PLACES = ("start", "end", "one", "other", "place", "places", "near", "far", "base", "name", "names", "parts", "ref", "origin", "seam")
_MIXED: dict[tuple[str, str], tuple[str, ...]] = {
    ("LengthenHalfway", "one"): (LEVEL, POINT),
    ("LengthenHalfway", "other"): (LEVEL, POINT),
    ("LengthenOrShorten", "level"): (LEVEL, POINT),
    ("Lengthen", "level"): (LEVEL, POINT),
    ("ShortenPieces", "level"): (LEVEL, POINT),
    ("Evenly", "start"): (POINT, EDGE),
    ("Evenly", "end"): (POINT, EDGE),
    ("Press", "end"): (EDGE, POINT),
    ("PressDart", "end"): (EDGE, POINT),
    ("PressDarts", "end"): (EDGE, POINT),
    ("Pressed", "end"): (EDGE, POINT),
    ("PlaceFrom", "end"): (EDGE, POINT),
    ("SpotFrom", "end"): (EDGE, POINT),
    ("Staying", "at"): (EDGE, POINT),
    ("StopNamed", "name"): (EDGE, DART, POINT),
    ("ZipAt", "name"): (LEVEL, POINT),
    ("Holding", "what"): (EDGE, DART),
    ("IntakeOf", "ref"): (DART,),
    ("AskedIntakeOf", "ref"): (DART,),
    ("WidthAt", "ref"): (PIECE,),
    ("PivotInto", "other"): (DART,),
    **{(f"Work{way}", "places"): (EDGE, PIECE, "step") for way in ("On", "Onto", "After", "Before")},
    ("Name", "word"): QUANTITIES,
    ("OneName", "word"): QUANTITIES,
    ("Member", "owner"): (),
    ("Member", "word"): QUANTITIES,
    ("Call", "name"): (RULE,),
    ("NamedArgument", "name"): (PARAMETER,),
    ("Use", "names"): (LIBRARY,),
    ("StartFrom", "name"): (STYLE,),
    ("Measure", "names"): (MEASUREMENT,),
    ("Doubt", "name"): (MEASUREMENT,),
    ("Doubt", "other"): (MEASUREMENT,),
    ("GirthName", "name"): ("measure",),
    ("Given", "name"): ("measure", "choice"),
    ("ApplyCheck", "name"): (CHECK,),
    ("FromRecipe", "name"): (RECIPE,),
    ("FromPiece", "name"): (PIECE,),
    ("FromPieceAs", "name"): (PIECE,),
    ("ChangePiece", "name"): (PIECE,),
    ("ChangeSheet", "name"): (SHEET,),
    ("ChangeRecipe", "name"): (RECIPE,),
    ("FactKind", "kind"): (MEASUREMENT_KIND,),
    ("PartThan", "base"): ("part",),
    # the names that these give are new
    ("LevelFrom", "name"): (),
    ("LevelHalfway", "name"): (),
    ("Division", "names"): (),
    **{(form, "name"): () for form in ("Arc", "CarriedOn", "Curve", "Line", "Edge", "CutApart")},
}
_BY_FORM = {
    **{(form, field): (POINT,) for form in _OF_POINTS for field in _PLACES},
    **{(form, field): (LEVEL,) for form in _OF_LEVELS for field in _PLACES},
    **{(form, field): (EDGE,) for form in _OF_EDGES for field in _PLACES},
    **_MIXED,
}


def sorts_in(slot: Slot) -> tuple[str, ...]:
    """The sorts of names that a slot takes; none where it gives a new name."""
    return _BY_FORM.get((slot.form.__name__, slot.field), _FIELDS.get(slot.field, ()))
