"""The pattern of one body as data: a JSON text for other programs and for comparing drafts.

One object.  All lengths are millimetres with four decimals at most, angles degrees, points [x, y] with x across
from the centre line and y down the body; what is not known is null.  Same draft, same bytes.

    made_by, record     "tapeline", and the version of this form
    style               name, title, version of the style
    rules               fingerprint of the style's rules
    date                of the draft, ISO 8601, or null; measured: day of the measuring that it goes by, or null
    body                name of the body
    unit                "mm"
    unit, defaults      in which all lengths stand; "cm" or "in": which defaults the choices that were not set have taken
    measures, choices   name -> value;  values: name -> {kind, value}, every named quantity of the style
    kinds               of the measures and choices: name -> "length", "angle", "number" or "condition"
    chosen       names of the choices set otherwise than the style has them
    rests_on     marks that change with what the draft rests on: {program, style, libraries: name -> mark, fittings, house}
    anonymous    whether something else stands for the body's name
    fittings     of the client that the draft has taken: {date, notes, lines}, lines being the statements as they are written
    level_order         names of the levels, from the top
    pieces              one object a piece, in the order of the style
    ledgers             girths, seams, corners, allowances
    notes               cautions, each {code, title, found, rule}

A piece has `name, title, rule`, `from` (the piece or foundation that it is made from, or null), `cut {count, fold,
paired, for, extras}` (`for` says what it is cut for where that is not the garment's outside, else null; an extra is `{count, for, net}`,
`net` where it is cut without the seam allowances), `worn` ("front",
"back", or null where the style does not say), `hand {side, drawn}` (for which side of the body it is as drawn, right side of the cloth
up: "left", "right", "both" or null; and of a piece that lies on both, which half is drawn, or toward which side x grows), `grain [x, y], grain_line, points`, `levels` (name -> y), where its left half is not its right one `halves {drawn, centre,
levels}` (the side of the body that lies where x is greater, the centre line or null, and of levels that lie at two depths `left` and `right`), `edges, marks, point_marks,
drill_holes, notches`, `corners` ({between, kind}) and `cut_line`, a ring whose first point is not repeated.  A notch has `edge,
name, kind` ("stated" by the style, "level", "balance", "joint" where an edge ends within the other side of a seam, "centre" at a
fold, "middle" of a piece, "end" of an edge where the outline runs straight on, "open" where a seam is left open, "dart", "tuck" or "pleat"), `at` (how far along
the edge, darts folded, from where it begins), `seam`, `meets` (what it lies on when that is sewn, `{edge, at}`), `on_stitch` and
`on_cut`.  An edge runs with the outline and has `name, rule`, `length` (darts folded),
`allowance {width, kind, rule}`, `strips` (runs of segments, the darts between them) and `darts`.  A dart has `name, kind,
rule, point, intake, asked, held_to, press` and the runs of segments `near_leg, far_leg, trued`.  Its kind is "dart",
"tuck" (laid, and sewn across its end alone) or "pleat"; a pleat's legs are lines that run to another edge, of which the one named by `press` is folded and laid to the
other.  A seam's `openings` are left unsewn: `from` and `to` so far along its first edge, darts folded, from where that edge begins
in the outline.  A corner across a seam is of the line from edge `one` to edge `other`, `across` a seam, fold or dart (`how`): its sewn
angle, whether the style says that it is `meant`, and whether the line is `asked` to be straight.  A segment is exact, and one
without length is left out:

    {"line": [p, q]}    {"cubic": [p, handle, handle, q]}
    {"arc": [p, q], "centre": c, "radius": r, "sweep": degrees, positive from +x toward +y}

A row of girths has `unfitted`, what would be sewn without the fittings, or null.  A girth of the ledgers has `left` and `right`, what of it lies at either side, for a body whose sides differ.

`rule` is "file:line" of the rule that made the thing.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from json.encoder import encode_basestring as _quoted
from typing import Any, cast

import numpy as np

from ..drafting.ledgers import Ledgers
from ..drafting.pattern import Allowance, Dart, Edge, Halves
from ..drafting.steps import Run
from ..finishing.drills import BACK_OFF, drill_holes
from ..finishing.finished import Finished, FinishedNotch, FinishedPiece
from ..geometry.arrays import Floats
from ..geometry.path import Path
from ..geometry.segments import Arc, Cubic, Line, Segment
from ..meaning.kinds import ANGLE
from ..meaning.plan import Plan
from ..source.diagnostics import Diagnostic
from ..source.quantity import number
from ..source.text import Span

RECORD = 3
NOT_TOLD: Mapping[str, Any] = {
    "rules": None,
    "date": None,
    "measured": None,
    "chosen": [],
    "drill": BACK_OFF,
    "rests_on": {},
    "anonymous": False,
    "fittings": [],
    "unfitted": {},
}
NO_LENGTH = 1e-4  # mm; a segment shorter than this is left out
_INLINE = 110  # characters of a list or object that is kept on one line


def pattern_record(
    plan: Plan,
    run: Run,
    ledgers: Ledgers,
    finished: Finished,
    index: int,
    body: str,
    cautions: Iterable[Diagnostic] = (),
    bears: Mapping[str, Any] = NOT_TOLD,
) -> dict[str, Any]:
    """The record of body `index` of a chunk, as plain data.  `run.filled` holds the plan's values; `bears` has what all papers
    bear of a draft: its `rules`, `date` and `chosen`, and `drill`, how far short of a dart's point it is drilled."""
    choices, values = plan.choices, plan.values
    measured = {step.out: step.options["of"] for step in plan.steps if step.operation == "measure"}
    kinds = {name: measured[slot] for name, slot in plan.measures.items()}
    return {
        "made_by": "tapeline",
        "record": RECORD,
        "style": {"name": plan.name, "title": plan.title, "version": plan.version},
        "rules": bears["rules"],
        "date": bears["date"],
        "measured": bears["measured"],
        "body": body,
        "unit": "mm",
        "defaults": "in" if run.in_inches else "cm",
        "measures": {name: _figure(run, slot, kinds[name], index) for name, slot in plan.measures.items()},
        "choices": {name: _figure(run, choice.slot, choice.kind.word, index) for name, choice in choices.items()},
        "kinds": kinds | {name: choice.kind.word for name, choice in choices.items()},
        "values": {
            name: {"kind": str(value.kind), "value": _figure(run, value.slot, value.kind.word, index)}
            for name, value in values.items()
            if np.shape(cast(Floats, run.filled.get(value.slot))) == (run.n,)
        },
        "chosen": bears["chosen"],
        "rests_on": bears["rests_on"],
        "anonymous": bears["anonymous"],
        "fittings": bears["fittings"],
        "level_order": list(plan.level_order),
        "pieces": [_piece(piece, index, bears["drill"]) for piece in finished.pieces],
        "ledgers": _ledgers(ledgers, index, bears["unfitted"]),
        "notes": [
            {"code": caution.code, "title": caution.title, "found": caution.found, "rule": rule(caution.span)} for caution in cautions
        ],
    }


def is_ours(data: bytes) -> bool:
    """Whether a file is data that this program wrote.  ValueError where it is no JSON."""
    record = json.loads(data)
    return isinstance(record, dict) and record.get("made_by") == "tapeline"


def write_record(record: dict[str, Any]) -> str:
    """The record as JSON text, short lists and objects on one line."""
    return _text(record, "") + "\n"


def rule(span: Span | None) -> str | None:
    return None if span is None else f"{span.source.name.rsplit('/', 1)[-1]}:{span.line}"


def _text(value: Any, indent: str) -> str:
    nested = isinstance(value, (dict, list)) and bool(value)
    whole = _one_line(value, _INLINE - len(indent) if nested else math.inf)
    if whole is not None:
        return whole
    inner = indent + " "
    if isinstance(value, dict):
        rows = [f"{_quoted(key)}: {_text(item, inner)}" for key, item in value.items()]
        opening, closing = "{}"
    else:
        rows, (opening, closing) = [_text(item, inner) for item in value], "[]"
    return f"{opening}\n" + ",\n".join(inner + row for row in rows) + f"\n{indent}{closing}"


def _one_line(value: Any, room: float) -> str | None:
    """The value on one line, or None as soon as that is seen to be longer than `room`."""
    if isinstance(value, str):
        text = _quoted(value)
    elif isinstance(value, bool) or value is None:
        text = {True: "true", False: "false", None: "null"}[value]
    elif isinstance(value, (int, float)):
        if not math.isfinite(value):
            raise ValueError("a figure of the record is not finite")
        text = (float if isinstance(value, float) else int).__repr__(value)
    else:
        named = isinstance(value, dict)
        parts: list[str] = []
        room -= 2
        for key, item in value.items() if isinstance(value, dict) else (("", item) for item in value):
            part = _one_line(item, room)
            if part is None:
                return None
            parts.append(f"{_quoted(key)}: {part}" if named else part)
            room -= len(parts[-1]) + 2
            if room < -2:
                return None
        inside = ", ".join(parts)
        return f"{{{inside}}}" if named else f"[{inside}]"
    return text if len(text) <= room else None


def _figure(run: Run, slot: int, kind: str, index: int) -> float | bool | None:
    values = run.filled.get(slot)
    if values is None:
        return None
    value = float(cast(Floats, values)[index])
    if kind == "condition":
        return value > 0.5
    return number(math.degrees(value) if kind == ANGLE.word else value)


def _at(values: Floats | None, index: int) -> float | None:
    return None if values is None else number(values[index])


def _point(points: Floats, index: int) -> list[float | None]:
    return [number(points[index, 0]), number(points[index, 1])]


def _points(points: Floats) -> list[list[float | None]]:
    return [[number(x), number(y)] for x, y in points]


def _segments(path: Path, index: int) -> list[dict[str, Any]]:
    return [_segment(segment, index) for segment in path.segments if segment.length()[index] > NO_LENGTH]


def _segment(segment: Segment, index: int) -> dict[str, Any]:
    if isinstance(segment, Line):
        return {"line": [_point(segment.start(), index), _point(segment.end(), index)]}
    if isinstance(segment, Cubic):
        return {"cubic": _points(segment.p[index])}
    if isinstance(segment, Arc):
        return {
            "arc": [_point(segment.start(), index), _point(segment.end(), index)],
            "centre": _point(segment.centre, index),
            "radius": number(segment.radius[index]),
            "sweep": number(math.degrees(segment.sweep[index])),
        }
    raise TypeError(f"no record for a {type(segment).__name__}")


def _piece(finished: FinishedPiece, index: int, back_off: float) -> dict[str, Any]:
    piece = finished.piece
    return {
        "name": piece.name,
        "title": piece.title,
        "rule": rule(piece.span),
        "from": piece.source or None,
        "cut": {
            "count": piece.cut.count,
            "fold": piece.cut.fold,
            "paired": piece.cut.paired,
            "for": piece.cut.purpose or None,
            "extras": [{"count": count, "for": what, "net": net} for count, what, net in piece.cut.extras],
        },
        "worn": piece.worn or None,
        "hand": {"side": piece.hand.side or None, "drawn": piece.hand.drawn or None},
        "grain": _point(piece.grain, index),
        "grain_line": _points(finished.grain_line[index]),
        "points": {name: _point(point, index) for name, point in piece.points.items()},
        "levels": {name: _at(y, index) for name, y in piece.levels.items()},
        **({} if piece.halves is None else {"halves": _halves(piece.halves, index)}),
        "edges": [_edge(edge, finished.allowances[edge.name], index) for edge in piece.edges],
        "marks": [
            {
                "kind": mark.kind,
                "name": mark.name,
                "rule": rule(mark.span),
                "note": mark.note,
                "length": _at(mark.length, index),
                "on_one": mark.one,
                "side": mark.side or None,
                "path": _segments(mark.path, index),
            }
            for mark in piece.marks
        ],
        "point_marks": [
            {
                "kind": mark.kind,
                "name": mark.name,
                "words": mark.words,
                "rule": rule(mark.span),
                "at": _point(mark.at, index),
                "size": _at(mark.size, index),
                "on_one": mark.one,
                "side": mark.side or None,
            }
            for mark in piece.point_marks
            if np.isfinite(mark.at[index]).all()
        ],
        "drill_holes": [
            {"dart": dart, "at": _point(places, index)}
            for dart, places in drill_holes(piece, back_off)
            if np.isfinite(places[index]).all()
        ],
        "notches": [_notch(notch, index) for notch in finished.notches if np.isfinite(notch.on_stitch[index]).all()],
        "corners": [{"between": [corner.edge_in, corner.edge_out], "kind": str(corner.kind[index])} for corner in finished.corners],
        "cut_line": _points(finished.cut_line[index]),
    }


def _halves(halves: Halves, index: int) -> dict[str, Any]:
    return {
        "drawn": halves.drawn,
        "centre": None if halves.centre is None else _points(halves.centre[index]),
        "levels": {name: {"left": _at(left, index), "right": _at(right, index)} for name, (left, right) in halves.levels.items()},
    }


def _notch(notch: FinishedNotch, index: int) -> dict[str, Any]:
    met = [{"edge": ".".join(place), "at": _at(at, index)} for place, at in notch.fellows if np.isfinite(at[index])]
    return {
        "edge": notch.edge,
        "name": notch.name,
        "kind": notch.kind,
        "at": _at(notch.at, index),
        "seam": notch.seam or None,
        "meets": met,
        "side": notch.side or None,
        "on_stitch": _point(notch.on_stitch, index),
        "on_cut": _point(notch.on_cut, index),
    }


def _edge(edge: Edge, allowance: Allowance, index: int) -> dict[str, Any]:
    return {
        "name": edge.name,
        "rule": rule(edge.span),
        "length": _at(edge.closed_length(), index),
        "allowance": {"width": _at(allowance.width, index), "kind": allowance.kind, "rule": rule(allowance.span)},
        "strips": [_segments(strip, index) for strip in edge.strips],
        "darts": [_dart(dart, index) for dart in edge.darts],
    }


def _dart(dart: Dart, index: int) -> dict[str, Any]:
    return {
        "name": dart.name,
        "kind": dart.kind,
        "rule": rule(dart.span),
        "point": _point(dart.point, index),
        "intake": _at(dart.intake, index),
        "asked": _at(dart.asked, index),
        "held_to": dart.held_to,
        "press": dart.press,
        "near_leg": _segments(dart.near_leg, index),
        "far_leg": _segments(dart.far_leg, index),
        "trued": _segments(dart.trued, index),
    }


def _ledgers(ledgers: Ledgers, index: int, unfitted: Mapping[str, float]) -> dict[str, Any]:
    return {
        "girths": [
            {
                "level": row.level,
                "body": _at(row.body, index),
                "intended": _at(row.intended, index),
                "sewn": _at(row.sewn, index),
                "unfitted": number(unfitted[row.level]) if row.level in unfitted else None,
                **({"left": _at(row.sides[0], index), "right": _at(row.sides[1], index)} if row.sides is not None else {}),
                "ease": _at(row.ease, index),
                "surplus": _at(row.surplus, index),
                "part": row.part(index) or None,
                "pieces": [
                    {"piece": piece, "times": times, "width": _at(width, index), "line": told}
                    for (piece, times, width), told in zip(row.pieces, row.told, strict=True)
                ],
                "narrowed": [
                    {"piece": narrowing.piece, "dart": narrowing.dart, "lack": _at(narrowing.lack, index)} for narrowing in row.narrowed
                ],
            }
            for row in ledgers.girths
        ],
        "seams": [
            {
                "one": row.one,
                "other": row.other,
                "length_one": _at(row.length_one, index),
                "length_other": _at(row.length_other, index),
                "ease": _at(row.ease, index),
                "difference": _at(row.difference, index),
                "tolerance": number(row.tolerance),
                "kind": row.kind,
                "openings": [
                    {"from": _at(opening.start, index), "to": _at(opening.end, index), "side": opening.side or None}
                    for opening in row.openings
                ],
                "rule": rule(row.span),
            }
            for row in ledgers.seams
        ],
        "corners": [
            {
                "one": row.one.named,
                "other": row.other.named,
                "across": row.across,
                "how": row.how,
                "angle": number(math.degrees(row.angle[index])),
                "meant": row.meant,
                "asked": not bool(row.excused[index]),
                "rule": rule(row.span),
            }
            for row in ledgers.corners
        ],
        "allowances": [
            {"piece": row.piece, "edge": row.edge, "width": _at(row.width, index), "kind": row.kind} for row in ledgers.allowances
        ],
    }
