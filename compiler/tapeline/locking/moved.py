"""What moved from one draft to another: of two days, two clients, two choices, or of yesterday and today.

Both drafts are read from their records, an even one beside an uneven one as that (`parted`), and compared row by row as locks are.  Before, each piece of the second is laid on that of
the first: centre line on centre line at the waist, or at the level of `LEVELS` that both have first; else corner on corner; or where
it is asked for.  So a place has moved by as much as a cutter would see who lays one piece on the other.  Out is away from the
piece's centre line, in is toward it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from .comparing import Move, moves_between
from .edges import Point, lies_on, outline_of
from .lock import GIRTHS, SEAMS, Key, Lock, Value
from .parted import parted_like
from .recorded import Record, lock_of_record, measures_of_record, places_of_record
from .telling import places_together

LEVELS = ("waist", "hip", "underbust", "bust")  # at which pieces are laid together, the first that both have
PLUMB = 0.01  # mm that a centre line may lean
WHOLE = 10.0  # mm on either side of its middle that a whole piece has at least
ON_CENTRE = 0.01  # mm from the centre line within which a place lies on it


class LaidTogether(NamedTuple):
    """Where a piece of both drafts is laid together, in words: at the place called `across`, or where its plumb meets a `level`.

    `by` takes the second draft to the first.  Without a name of a place, x is that of the line from which the piece is drawn.
    """

    words: str
    across: str
    level: str
    by: Point
    asked: str = ""


class MovedPlace(NamedTuple):
    """A place that has moved: all its names, where it was, and how far it went `out` (less than 0: in) and `down` (up)."""

    piece: str
    names: tuple[str, ...]
    was: Point
    out: float
    down: float
    side_is_left: bool = False  # of the centre line, as the piece is drawn

    @property
    def far(self) -> float:
        return float((self.out**2 + self.down**2) ** 0.5)


class MovedFigure(NamedTuple):
    """A figure of both drafts, mm or degrees: what it is of, and of which part; None where a draft has none."""

    name: str
    part: str
    before: float | None
    after: float | None

    @property
    def by(self) -> float:
        return 0.0 if self.before is None or self.after is None else self.after - self.before


@dataclass(slots=True, eq=False)
class DraftMoves:
    """Two drafts beside each other.  `lock` and `present` are their rows, the second as its pieces are laid on the first."""

    records: tuple[Record, Record]
    lock: Lock
    present: Lock
    moves: list[Move]  # every row that differs
    laid: dict[str, LaidTogether]  # of the pieces of both
    places: list[MovedPlace]  # the furthest first
    girths: list[MovedFigure]  # as sewn, of each level; and of the body where that differs
    seams: list[MovedFigure]
    measures: list[MovedFigure]
    choices: list[MovedFigure]

    @property
    def moved(self) -> bool:
        return bool(self.moves)

    @property
    def pieces(self) -> list[str]:
        """The pieces of either draft, in their order."""
        return list(dict.fromkeys([*self.lock.pieces(), *self.present.pieces()]))

    @property
    def gone(self) -> list[str]:
        return [piece for piece in self.lock.pieces() if piece not in self.present.pieces()]

    @property
    def new(self) -> list[str]:
        return [piece for piece in self.present.pieces() if piece not in self.lock.pieces()]

    @property
    def changed(self) -> list[str]:
        """The pieces that are not as they were: what must be cut again, if it was cut."""
        touched = {move.key.piece for move in self.moves}
        return [piece for piece in self.pieces if piece in touched]

    def not_there(self, together_at: Sequence[str]) -> list[Diagnostic]:
        """C106 for each place at which pieces were to be laid together and that no piece of both drafts has."""
        known = list(dict.fromkeys(key.name for key in self.lock.rows if key.sort in ("place", "level") and key in self.present.rows))
        used = {laid.asked for laid in self.laid.values()}
        return [
            Diagnostic(
                "C106",
                "No piece of both drafts has such a place",
                Span(Source("--together-at", asked), 0, len(asked)),
                "a place or level, or piece.place, as " + ", ".join([name for name in known if "/" not in name][:8]),
                asked or "nothing",
                did_you_mean(asked.rpartition(".")[2][:60], known),
            )
            for asked in together_at
            if asked not in used
        ]

    def title(self, piece: str) -> str:
        """A piece's title and name."""
        found = next(one for record in reversed(self.records) for one in record["pieces"] if one["name"] == piece)
        return str(found["title"])


def moved_between(before: Record, after: Record, together_at: Sequence[str] = ()) -> DraftMoves:
    """What moved from one draft to another, given as the records of both.

    `together_at` are places at which pieces are laid together, PLACE or PIECE.PLACE, where both drafts have them.
    """
    before, after = parted_like(before, after), parted_like(after, before)
    lock, present = lock_of_record(before), lock_of_record(after)
    pieces = {record_of["name"]: record_of for record_of in before["pieces"]}
    laid: dict[str, LaidTogether] = {}
    centres: dict[str, float] = {}
    for piece in after["pieces"]:
        name = piece["name"]
        if name in pieces:
            laid[name] = _laid(pieces[name], piece, together_at)
            centres[name] = (_centre_line(pieces[name]) or ("", "", 0.0))[2]
    present.rows = {key: tuple(_shifted(key, value, laid) for value in values) for key, values in present.rows.items()}
    moves = moves_between(lock, present)
    places = []
    for piece in laid:
        outline = outline_of(lock, piece, 0)
        for names, move in places_together(move for move in moves if move.key.piece == piece):
            was = move.before[0]
            if isinstance(move.by(0), tuple) and isinstance(was, tuple) and lies_on(outline, was):
                places.append(_place(piece, tuple(names), move, centres[piece]))
    return DraftMoves(
        (before, after),
        lock,
        present,
        moves,
        laid,
        sorted(places, key=lambda place: -round(place.far, 3)),
        _figures(lock, present, GIRTHS),
        _figures(lock, present, SEAMS),
        _named(measures_of_record(before), measures_of_record(after)),
        _named(before["choices"], after["choices"]),
    )


def _place(piece: str, names: tuple[str, ...], move: Move, centre: float) -> MovedPlace:
    was, by = move.before[0], move.by(0)
    assert isinstance(was, tuple) and isinstance(by, tuple)
    left = was[0] < centre - ON_CENTRE
    return MovedPlace(piece, names, was, -by[0] if left else by[0], by[1], left)


def _figures(before: Lock, after: Lock, section: str) -> list[MovedFigure]:
    """The ledger of a section in both drafts, whether or not its figures moved."""
    keys = [key for key in {**before.rows, **after.rows} if key.section == section]
    figures = []
    for key in keys:
        old, new = (lock.rows[key][0] if key in lock.rows else None for lock in (before, after))
        name, _, part = key.name.rpartition(", " if section == SEAMS else " ")
        figures.append(MovedFigure(name, part, old if isinstance(old, float) else None, new if isinstance(new, float) else None))
    return figures


def _named(before: Record, after: Record) -> list[MovedFigure]:
    """Named figures that differ."""
    return [
        MovedFigure(name, "", *(None if value is None else float(value) for value in (before.get(name), after.get(name))))
        for name in {**before, **after}
        if before.get(name) != after.get(name)
    ]


def _shifted(key: Key, value: Value, laid: dict[str, LaidTogether]) -> Value:
    if key.piece not in laid:
        return value
    across, down = laid[key.piece].by
    if isinstance(value, tuple):
        return round(value[0] + across, 3) + 0.0, round(value[1] + down, 3) + 0.0
    return round(value + down, 3) if key.sort == "level" and isinstance(value, float) else value


# ------------------------------------------------------------------------------------------------------------ laid together


def _laid(before: Record, after: Record, together_at: Sequence[str]) -> LaidTogether:
    """Where a piece of two drafts is laid together."""
    places = [places_of_record(piece) for piece in (before, after)]
    lines = [_centre_line(piece) for piece in (before, after)]
    line = lines[0] if lines[0] is not None and lines[1] is not None and lines[0][:2] == lines[1][:2] else None

    def at_level(level: str, words: str) -> LaidTogether | None:
        heights = [piece["levels"].get(level) for piece in (before, after)]
        if line is None or lines[1] is None or None in heights:
            return None
        return LaidTogether(words, line[1], level, (line[2] - lines[1][2], heights[0] - heights[1]))

    def at_place(place: str, words: str) -> LaidTogether | None:
        if not all(place in of_piece for of_piece in places):
            return None
        (x, y), (other_x, other_y) = (of_piece[place] for of_piece in places)
        return LaidTogether(words, place, "", (x - other_x, y - other_y))

    for asked in together_at:
        piece, dot, place = asked.partition(".")
        place = place if dot and piece == before["name"] else asked
        found = at_place(place, place) or at_level(place, place)
        if found is not None:
            return found._replace(asked=asked)
    for level in LEVELS:
        found = at_level(level, f"{line[0] or 'the middle'} and {level}") if line is not None else None
        if found is not None:
            return found
    corners = [name for name in places[0] if "/" in name and name in places[1]]
    if line is not None and not line[0]:
        line = None
    corners.sort(  # of several alike the one nearest to the centre, then the upper one
        key=lambda name: (
            line is not None and line[0] not in name.split("/"),
            "waist" not in name.split("/"),
            round(abs(places[0][name][0])),
            round(places[0][name][1]),
        )
    )
    for corner in corners:
        alias = next((name for name, place in places[0].items() if "/" not in name and place == places[0][corner]), corner)
        return at_place(corner, alias) or LaidTogether("", "", "", (0.0, 0.0))
    return LaidTogether("", "", "", (0.0, 0.0))


def _centre_line(piece: Record) -> tuple[str, str, float] | None:
    """(edge, the place where it begins, x) of the plumb edge at the centre: the fold, or one called centre.

    A piece without one that lies on both sides of the line that it is drawn from has its middle there, under no name.
    """
    if piece.get("halves") and piece["halves"]["centre"]:
        return "centre", "", float(piece["halves"]["centre"][0][0])
    lines, across = [], [0.0]
    for before, edge in zip(piece["edges"][-1:] + piece["edges"][:-1], piece["edges"], strict=True):
        points = [point for strip in edge["strips"] for segment in strip for point in next(iter(segment.values()))]
        across += [x for x, _ in points]
        if (
            points
            and max(x for x, _ in points) - min(x for x, _ in points) < PLUMB
            and all("line" in s for t in edge["strips"] for s in t)
        ):
            lines.append((edge["name"], f"{before['name']}/{edge['name']}", float(points[0][0])))
    centres = [line for line in lines if line[0] == piece["cut"]["fold"] or line[0].startswith("centre")]
    middle = ("", "", 0.0) if min(across) < -WHOLE and max(across) > WHOLE else None
    return min(centres, key=lambda line: (line[0] != piece["cut"]["fold"], abs(line[2])), default=middle)
