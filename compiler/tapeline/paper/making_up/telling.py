"""What the making-up sheet says of each step, in words: edges, widths, stitches, pressing and notions, in the house's language.

Each kind of task is told by a function of its own, entered in `_TELLING`.  Widths and lengths are those of this body.  How a seam is
stitched and pressed is what the trade usually does, with its sources beside the words; where the style says otherwise, it is
said so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from ...drafting.order import WorkStep
from ...drafting.pattern import Dart, Edge, Piece, Place, Seam, SewnEdge, of_half
from ...drafting.reach import Precedence
from ...drafting.tasks import FACING, FOLDED, LINING, Task, TaskKind, is_interfacing, is_layer_of, mounted_layers
from ...geometry.arrays import Floats
from ..cutting.fastenings import button_rows, copies, counted, fastening_rows
from ..drawing.marks import bone_length
from ..drawing.pieces import in_words
from ..house.work import Work

# An edge is clipped where it turns by so much within so many mm.  Our judgement: necklines, armholes and seams over the bust do, the
# side of a skirt does not.
TURNED, WITHIN = np.radians(20.0), 80.0
CLIPS = 6.35, 12.7  # mm between clips and between notches: 1/4 to 1/2 in by the sharpness (Apparel, 2012, pp. 452-453)
LAST = 12.7  # mm of a dart in short stitches: the last 1/2 in (about.com "Darts"; "Pencil Skirt Construction", 2014)
SHOWS = 0.05  # mm
LEFT_OPEN = {
    "": "Leave open from {start} to {end}, measured along {one} from its end at {edge}.",
    "left": "On the left only, leave open from {start} to {end}, measured along {one} from its end at {edge}.",
    "right": "On the right only, leave open from {start} to {end}, measured along {one} from its end at {edge}.",
}
ZIPPED = {
    "": "Zip: {length}, in {places}.",
    "left": "Zip: {length}, on the left, in {places}.",
    "right": "Zip: {length}, on the right, in {places}.",
}
MOST_NOTCHES = 6  # whose places are told
MOST = 3  # tasks that the title of a step names, of either side where the sides differ


class Telling:
    """The words of one draft."""

    def __init__(self, work: Work) -> None:
        self.work, self.index = work, work.index
        self.pattern = work.finished.pattern
        self.pieces = {piece.name: piece for piece in self.pattern.pieces}
        self.say, self.unit = work.house.say, work.unit

    def show(self, mm: float) -> str:
        return self.work.house.show(mm, self.unit).replace(" ", "\u00a0")

    def rule(self, mm: float) -> str:
        """A width that is a rule of thumb, in whole millimetres or as a fraction of an inch."""
        return self.show(mm if self.unit == "in" else float(round(mm)))

    def title(self, step: WorkStep) -> str:
        """What a step is called: by all its pieces, where it does the same to several."""
        first = step.tasks[0]
        if first.kind in (TaskKind.TAPE, *FOLDED) and all(task.kind == first.kind for task in step.tasks):
            return _TITLES[first.kind](self, replace(first, places=tuple(place for task in step.tasks for place in task.places)))
        sides = 2 if any(piece.halves is not None for piece in self.pattern.pieces) else 1
        return "; ".join(dict.fromkeys(_TITLES[task.kind](self, task) for task in step.tasks[: sides * MOST]))

    def lines(self, step: WorkStep) -> list[str]:
        """What is to be done in it, line by line; what holds for several of its tasks once, behind the last of them."""
        lines = [line for task in step.tasks for line in _TELLING[task.kind](self, task)]
        return list(dict.fromkeys(reversed(lines)))[::-1]

    def reasons(self, step: WorkStep) -> list[str]:
        """For which later steps it must be done, and why: for the first of them."""
        ahead = sorted(step.ahead, key=lambda pair: pair[0].number)
        return [
            self.say("Before step {number}: {why}.", number=then.number, why=self.say(REASONS[rule.why], place=self._of(rule)))
            for then, rule in ahead[:1]
        ]

    def _of(self, rule: Precedence) -> str:
        piece, name = rule.place
        return self.place(rule.place) if name else self.pieces[piece].title

    # ------------------------------------------------------------ names

    def layer(self, task: Task) -> str:
        return self.say(in_words(task.layer)) if task.layer else self.say("outside cloth")

    def titles(self, names: Iterable[str]) -> str:
        titles = dict.fromkeys(self.pieces[name].title for name in names)
        return ("; " if any("," in title for title in titles) else ", ").join(titles)

    def place(self, place: Place) -> str:
        return f"{self.pieces[place[0]].title} ({in_words(place[1].removeprefix('bone '))})"

    def places(self, places: Iterable[Place]) -> str:
        """Places piece by piece: Front (waist, hem); Back (hem)."""
        rows = groupby(places, key=lambda place: place[0])
        return "; ".join(f"{self.pieces[piece].title} ({', '.join(in_words(name) for _, name in some)})" for piece, some in rows)

    def edges(self, places: Iterable[Place]) -> str:
        return ", ".join(dict.fromkeys(in_words(name) for _, name in places))

    def edge(self, place: Place) -> Edge:
        return self.pieces[place[0]].edge(place[1])

    def length(self, edge: Edge) -> float:
        return float(edge.closed_length()[self.index])

    def width(self, place: Place) -> float:
        """The seam allowance of an edge in mm; nothing where it has none."""
        allowance = self.work.finished.piece(place[0]).allowances.get(place[1])
        return 0.0 if allowance is None else float(allowance.width[self.index])

    def allowances(self, places: Sequence[Place]) -> Iterator[str]:
        """The widths of edges, those alike together."""
        rows: dict[str, list[Place]] = {}
        for place in dict.fromkeys(places):
            if self.width(place) > SHOWS:
                rows.setdefault(self.show(self.width(place)), []).append(place)
        if len(rows) == 1:
            yield self.say("Seam allowance: {width}.", width=next(iter(rows)))
        elif rows:
            listed = "; ".join(f"{width}: {self.places(some)}" for width, some in rows.items())
            yield self.say("Seam allowances: {list}.", list=listed)

    def curved(self, edge: Edge) -> bool:
        """Whether an edge turns so sharply that its allowance must be clipped to lie flat; its darts apart."""
        return any(_turns(strip.take(slice(self.index, self.index + 1)).flatten()[0]) for strip in edge.strips)


def _turns(points: Floats) -> bool:
    steps = np.diff(points, axis=0)
    steps = steps[np.hypot(*steps.T) > SHOWS]
    along = np.cumsum(np.hypot(*steps.T))
    angles = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    reach = np.searchsorted(along, along + WITHIN, side="right") - 1
    return bool((np.abs(angles[reach] - angles) > TURNED).any())


# ------------------------------------------------------------ seams


def _seam(tell: Telling, task: Task) -> Iterator[str]:
    for seam in task.seams:
        yield from _sewn(tell, seam)
    layers = dict.fromkeys(tell.pieces[piece].cut.purpose for piece, _ in task.places)
    onto = next((layer for layer in layers if layer in (FACING, LINING)), "")
    if onto and len(layers) > 1 and not any(seam.pressed for seam in task.seams):
        yield from _turned(tell, onto)
        return
    yield tell.say("Stitches of 2 to 2.5\u00a0mm, 10 to 12 to the inch.")  # Suggested Guidelines for Clothing Construction (4-H)
    for seam in task.seams:
        yield from _pressed(tell, seam)


def _sewn(tell: Telling, seam: Seam) -> Iterator[str]:
    one, other = tell.pattern.sewn(seam)
    times = _times(seam, one, other)
    first, second = (tell.places((edge.piece.name, edge.edge) for edge in side) for side in (one, other))
    length, other_length = (
        sum(tell.length(tell.edge((e.piece.name, e.edge))) * e.times for e in side) / times for side in (one, other)
    )
    often = tell.say(", {count} times", count=times) if times > 1 else ""
    if seam.one == seam.other:
        shown = tell.show(tell.length(tell.edge(seam.one[0])))
        yield tell.say("Right sides together: {one} to that of its fellow, {length}{often}.", one=first, length=shown, often=often)
    else:
        shown = tell.show(other_length)
        yield tell.say("Right sides together: {one} to {other}, {length}{often}.", one=first, other=second, length=shown, often=often)
    ease = float(seam.ease[tell.index])
    if seam.kind == "eased" and abs(ease) > SHOWS:
        between = "Ease {one} in, between its notches: it is {ease} longer."
        plain = "Ease {one} in: it is {ease} longer."
        longer, edge = (first, seam.one[0]) if ease > 0.0 else (second, seam.other[0])
        yield tell.say(between if len(_notches(tell, edge)) > 1 else plain, one=longer, ease=tell.show(abs(ease)))
    if seam.kind == "gathered":
        yield tell.say(
            "Gather {one} from {length} to {other_length}: two rows of long stitches within the allowance.",
            one=first,
            length=tell.show(length),
            other_length=tell.show(other_length),
        )
    yield from _notched(tell, seam)
    yield from _left_open(tell, seam)
    yield from _beside_zip(tell, seam)
    yield from tell.allowances((*seam.one, *seam.other))


def _times(seam: Seam, one: Sequence[SewnEdge], other: Sequence[SewnEdge]) -> int:
    """How often a seam is sewn: where each of its edges is there equally often, or each to a copy of one; else it is one."""
    if seam.one == seam.other:
        return max(1, one[0].times // 2)
    each = _each_to_one(one, other)
    if each is not None:
        return each.times
    counts = {edge.times for edge in (*one, *other)}
    return counts.pop() if len(counts) == 1 else 1


def _each_to_one(one: Sequence[SewnEdge], other: Sequence[SewnEdge]) -> SewnEdge | None:
    """The edge to whose copies all those of the other side are sewn, each to one."""
    for side, single in ((one, other), (other, one)):
        if len(single) == 1 and sum(edge.times for edge in side) == single[0].times:
            return single[0]
    return None


def _notched(tell: Telling, seam: Seam) -> Iterator[str]:
    """Where the notches of the seam's first edge lie, as it is sewn."""
    place = seam.one[0]
    at = sorted({tell.show(mm): mm for mm in _notches(tell, place)}.items(), key=lambda pair: pair[1])
    if at:
        yield tell.say(
            "Match the notches: on {one} {list} from its end at {edge}.",
            one=tell.place(place),
            list=", ".join(shown for shown, _ in at[:MOST_NOTCHES]) + (", ..." if len(at) > MOST_NOTCHES else ""),
            edge=in_words(_before(tell, place)),
        )


def _notches(tell: Telling, place: Place) -> list[float]:
    """How far along an edge, in mm, its notches lie that are there for a seam: not those of darts and pleats."""
    notches = (notch for notch in tell.work.finished.piece(place[0]).notches if notch.edge == place[1] and notch.at is not None)
    found = (float(notch.at[tell.index]) for notch in notches if notch.kind not in ("dart", "tuck", "pleat") and notch.at is not None)
    return [mm for mm in found if mm > SHOWS]


def _before(tell: Telling, place: Place) -> str:
    """The edge that ends where this one begins, from which places along it are told."""
    names = [edge.name for edge in tell.pieces[place[0]].edges]
    return names[names.index(place[1]) - 1]


def _left_open(tell: Telling, seam: Seam) -> Iterator[str]:
    place = seam.one[0]
    for opening in seam.openings:
        start, end = (float(value[tell.index]) for value in (opening.start, opening.end))
        yield tell.say(
            LEFT_OPEN[opening.side],
            start=tell.show(start),
            end=tell.show(end),
            one=tell.place(place),
            edge=in_words(_before(tell, place)),
        )


def _beside_zip(tell: Telling, seam: Seam) -> Iterator[str]:
    """A seam of a lining stays open as long as the zip outside."""
    if seam.openings or not tell.pieces[seam.one[0][0]].cut.purpose:
        return
    for row in tell.work.ledgers.zips:
        if any(is_layer_of(tell.pattern, layer, place) for layer in (*seam.one, *seam.other) for place in row.places):
            yield tell.say("Leave the stretch beside the zip open: {length}.", length=tell.show(float(row.opening[tell.index])))
            return


def _pressed(tell: Telling, seam: Seam) -> Iterator[str]:
    """Clipped and pressed: as the style says, else toward what runs on across several edges or is not gathered, else open."""
    edges = [tell.edge(place) for place in (*seam.one, *seam.other)]
    if any(map(tell.curved, edges)):
        low, high = (tell.rule(width) for width in CLIPS)
        yield tell.say("Clip the inward curve and notch the outward one, every {low} to {high}.", low=low, high=high)
    toward = seam.pressed
    if not toward and seam.kind == "gathered":
        toward = seam.other[0][0]
    elif not toward and len(seam.one) != len(seam.other) and _each_to_one(*tell.pattern.sewn(seam)) is None:
        toward = min(seam.one, seam.other, key=len)[0][0]
    if toward and toward != "open":
        yield tell.say("Press flat as sewn, then both allowances toward {piece}.", piece=tell.pieces[toward].title)
    elif any(map(tell.curved, edges)):
        yield tell.say("Press flat as sewn, then open, over a ham.")
    else:
        yield tell.say("Press flat as sewn, then open.")


def _zip(tell: Telling, task: Task) -> Iterator[str]:
    assert task.zip is not None
    opening = float(task.zip.opening[tell.index])
    yield tell.say(ZIPPED[task.zip.side], length=tell.show(opening), places=tell.places(task.zip.places))
    yield tell.say("Overcast the edges, and let the zip in while the seam is open.")
    yield from tell.allowances(task.places)
    if any(tell.length(tell.edge(place)) > opening + 1.0 for place in task.places):
        yield tell.say("Then sew the rest of the seam, from the end of the zip.")
        yield tell.say("Stitches of 2 to 2.5\u00a0mm, 10 to 12 to the inch.")
        yield tell.say("Press flat as sewn, then open.")


# ------------------------------------------------------------ flat pieces


def _darts(tell: Telling, task: Task) -> Iterator[str]:
    for name in dict.fromkeys(piece for piece, _ in task.places):
        piece = tell.pieces[name]
        wanted = {dart for owner, dart in task.places if owner == name}
        for edge in piece.edges:
            for dart in edge.darts:
                if dart.name in wanted:
                    yield _dart(tell, piece, edge, dart)
        for inner in piece.inner:
            if inner.name in wanted:
                yield tell.say(
                    "{piece}: {dart}, within the piece; sew from its middle to either point.",
                    piece=piece.title,
                    dart=in_words(inner.name),
                )
    # Woman's Institute and "Sewing and tapering a dart": from the wide end to the point, the end tied.
    yield tell.say(
        "Sew from the edge to the point, the last {length} in short stitches and off the fold; tie the ends.", length=tell.rule(LAST)
    )
    yield tell.say("Press flat as sewn, then over a ham.")


def _dart(tell: Telling, piece: Piece, edge: Edge, dart: Dart) -> str:
    intake, length = (float(value[tell.index]) for value in (dart.intake, dart.near_leg.length()))
    toward = _toward(piece, edge, dart)
    if of_half(toward) == of_half(edge.name):  # the piece was opened out: beyond the centre its edge runs on
        words = "{piece}: {dart}, {intake} at the edge and {length} long; press toward the centre: its end is cut for that."
    else:
        words = "{piece}: {dart}, {intake} at the edge and {length} long; press toward {edge}: its end is cut for that."
    return tell.say(
        words,
        piece=piece.title,
        dart=in_words(dart.name),
        intake=tell.show(intake),
        length=tell.show(length),
        edge=in_words(toward),
    )


def _toward(piece: Piece, edge: Edge, dart: Dart) -> str:
    """The edge at the end of its own toward which a dart is pressed."""
    names = [one.name for one in piece.edges]
    at = names.index(edge.name)
    return names[at - 1] if dart.press == "near" else names[(at + 1) % len(names)]


def _tucks(tell: Telling, task: Task) -> Iterator[str]:
    for name in dict.fromkeys(piece for piece, _ in task.places):
        piece = tell.pieces[name]
        for edge in piece.edges:
            for dart in edge.darts:
                if (name, dart.name) in task.places:
                    yield tell.say(
                        "{piece}: {dart}, {intake} at the edge; lay it toward {edge}: its end is cut for that.",
                        piece=piece.title,
                        dart=in_words(dart.name),
                        intake=tell.show(float(dart.intake[tell.index])),
                        edge=in_words(of_half(_toward(piece, edge, dart))),
                    )
    # onlinefabricstore.com, "Lining pants and skirts": at the mouths of the darts, and not sewn down.
    yield tell.say("Fold notch on notch, baste across the edge, and leave the fold free below; do not press it flat.")


def _pleats(tell: Telling, task: Task) -> Iterator[str]:
    yield tell.say("{piece}: {count} pleats.", piece=tell.titles(piece for piece, _ in task.places), count=len(task.places))
    yield tell.say("Fold each on its fold line, lay the fold to the dashed line, and baste across the edge.")
    yield tell.say("Press under a cloth, the basting still in.")


def _fuse(tell: Telling, task: Task) -> Iterator[str]:
    backed = [name for name in task.pieces if not is_interfacing(tell.pieces[name].cut.purpose)]
    if backed:
        yield tell.say("On the wrong side of: {pieces}.", pieces=tell.titles(backed))
    for name in task.pieces:
        if name not in backed and not tell.pieces[name].source:
            yield tell.say("{piece}: on the wrong side of the piece that it is cut for.", piece=tell.pieces[name].title)
    yield tell.say("Try it on a scrap first. Set the iron down and lift it, without pushing; let it cool flat.")


def _mount(tell: Telling, task: Task) -> Iterator[str]:
    layers: dict[str, list[str]] = {}
    for name in task.pieces:
        for what in mounted_layers(tell.pieces[name]):
            layers.setdefault(what, []).append(name)
    for what, names in layers.items():
        yield tell.say("Lay {layers} on the wrong side of: {pieces}.", layers=tell.say(in_words(what)), pieces=tell.titles(names))
    yield tell.say("Baste along all edges, curled over the hand as it will be worn; both are sewn as one from here on.")


def _tape(tell: Telling, task: Task) -> Iterator[str]:
    yield from _taped(tell, task)
    yield tell.say("Within the allowance, just beside the stitching line; the edge is eased to the tape, not the tape to the edge.")


def _taped(tell: Telling, task: Task) -> Iterator[str]:
    """The tapes along the edges of a task."""
    for name in task.all_pieces:
        for tape in next(row for row in tell.work.plan.pieces if row.name == name).tapes:
            if tape.length is not None and (name, tape.name) in task.places:
                note, long = f" ({tape.note})" if tape.note else "", tell.show(tell.work.value(tape.length))
                yield tell.say("{place}: tape{note}, {length}.", place=tell.place((name, tape.name)), note=note, length=long)


# ------------------------------------------------------------ edges and layers


def _make_up(tell: Telling, task: Task) -> Iterator[str]:
    yield tell.say("{pieces}: the same darts and seams as outside, those at openings left open.", pieces=tell.titles(task.pieces))


def _lay_in(tell: Telling, task: Task) -> Iterator[str]:
    yield tell.say("Wrong sides together, seams on seams; baste along {edges}.", edges=tell.places((*task.places, *task.onto)))
    layers = [tell.pieces[name] for name in task.all_pieces if tell.pieces[name].cut.purpose]
    if any(dart.kind == "dart" for piece in layers for dart in piece.darts()):
        yield tell.say("Fold its darts the other way than those outside.")  # onlinefabricstore.com, lining pants and skirts


def _join(tell: Telling, task: Task) -> Iterator[str]:
    behind = dict.fromkeys(tell.pieces[piece].cut.purpose for piece, _ in task.places)
    between = [tell.say(layer) for layer in behind if layer not in ("", task.layer)]
    if between:  # T. Fox on strapless bodices, Tampa Bay Times 1996; patternhackfairy.com, week six
        yield tell.say("First baste edge on edge, behind the outside: {layers}.", layers=", ".join(between))
    yield tell.say("Right sides together along: {places}.", places=tell.places(task.places))
    yield from tell.allowances(task.places)
    yield from _turned(tell, task.layer)


def _turned(tell: Telling, layer: str) -> Iterator[str]:
    """What follows where a layer is sewn to the edge of the garment (Apparel: Design, Textiles and Construction, 2012, pp. 452-453)."""
    yield tell.say("Trim one allowance more than the other, clip curves; press to the {layer} and understitch.", layer=tell.say(layer))
    if layer == FACING:
        yield tell.say("Turn, press, and catch the facing down at the seams alone.")
    else:
        yield tell.say("Turn and press. Where no other edge is open, leave a hand's width unsewn to turn through, and fell it.")


def _bind(tell: Telling, task: Task) -> Iterator[str]:
    yield tell.say("Bind: {places}.", places=tell.places(task.places))
    yield from tell.allowances(task.places)
    yield from _taped(tell, task)
    yield tell.say("Sew the bias strip on right sides together, turn it over the edge, fell it to the stitching inside.")


def _face(tell: Telling, task: Task) -> Iterator[str]:
    yield tell.say("Face: {places}.", places=tell.places(task.places))
    yield from tell.allowances(task.places)
    yield tell.say("The style cuts no facing for it: a bias strip, or a facing cut to the edge.")


def _finish(tell: Telling, task: Task) -> Iterator[str]:
    yield tell.say("Overcast or turn in: {places}.", places=tell.places(task.places))
    yield from tell.allowances(task.places)


def _hem(tell: Telling, task: Task) -> Iterator[str]:
    widths: dict[str, list[Place]] = {}
    for place in task.places:
        widths.setdefault(tell.show(tell.width(place)), []).append(place)
    for width, places in widths.items():
        yield tell.say("Turn up {width}: {places}.", width=width, places=tell.places(places))
    yield from _taped(tell, task)
    yield tell.say("Finish the edge, press the fold, catch the hem down by hand, loosely, or blind-stitch it.")


def _bones(tell: Telling, task: Task) -> Iterator[str]:
    for name, mark in task.bones:
        length = bone_length(mark, tell.index, tell.work.house, tell.unit)
        count = copies(tell.pieces[name], mark.path.take(slice(tell.index, tell.index + 1)).flatten()[0], tell.index)
        yield tell.say("{place}: {count} of {length}.", place=tell.place((name, mark.name)), count=count, length=tell.show(length))
    yield tell.say("Measure each channel as sewn before a bone is cut; cap or round both ends.")
    yield tell.say("From here on no seam may cross a bone.")


def _fell(tell: Telling, task: Task) -> Iterator[str]:
    places = task.places or task.onto
    # onlinefabricstore.com, lining pants and skirts, III
    yield tell.say("Turn in {places}, and fell it to the tape of the zip, clear of the teeth.", places=tell.places(places))


def _fastenings(tell: Telling, task: Task) -> Iterator[str]:
    found = counted((piece.piece for piece in tell.work.cut), tell.index)
    for row in button_rows(tell.work, found):
        note = f" ({row['words']})" if row["words"] else ""
        yield tell.say("{count} buttons of {size}{note}.", count=row["count"], size=tell.show(row["size"]), note=note)
    for row in fastening_rows(found):
        note = f" ({row['words']})" if row["words"] else ""
        if row["kind"] == "buttonhole":
            yield tell.say("{count} buttonholes of {size}{note}.", count=row["count"], size=tell.show(row["length"]), note=note)
        else:
            yield tell.say("{count} hooks{note}." if row["kind"] == "hook" else "{count} loops{note}.", count=row["count"], note=note)
    if task.pieces:
        yield tell.say("At the places marked on: {pieces}.", pieces=tell.titles(task.pieces))


def _own(tell: Telling, task: Task) -> Iterator[str]:
    if task.onto:
        yield tell.say("{places}, laid on {onto}.", places=tell.places(task.places), onto=tell.places(task.onto))
    elif task.places:
        yield f"{tell.places(task.places)}."
    yield from tell.allowances(task.places)


_TELLING: dict[str, Callable[[Telling, Task], Iterator[str]]] = {
    TaskKind.FUSE: _fuse,
    TaskKind.MOUNT: _mount,
    TaskKind.TAPE: _tape,
    TaskKind.DARTS: _darts,
    TaskKind.TUCKS: _tucks,
    TaskKind.PLEATS: _pleats,
    TaskKind.SEAM: _seam,
    TaskKind.ZIP: _zip,
    TaskKind.MAKE_UP: _make_up,
    TaskKind.LAY_IN: _lay_in,
    TaskKind.JOIN: _join,
    TaskKind.BIND: _bind,
    TaskKind.FACE: _face,
    TaskKind.FINISH: _finish,
    TaskKind.HEM: _hem,
    TaskKind.BONES: _bones,
    TaskKind.FELL: _fell,
    TaskKind.BUTTONS: _fastenings,
    TaskKind.OWN: _own,
}


# ------------------------------------------------------------ titles


def _seam_title(tell: Telling, task: Task) -> str:
    seam = task.seams[0]
    sides = [tell.titles(piece for piece, _ in side) for side in (seam.one, seam.other)]
    edges = [tell.edges(side) for side in (seam.one, seam.other)]
    if seam.one == seam.other:
        return tell.say("Sew the two of {piece} together: {edge}", piece=sides[0], edge=edges[0])
    if edges[0] == edges[1]:
        return tell.say("Sew {one} to {other}: {edge}", one=sides[0], other=sides[1], edge=edges[0])
    if sides[0] == sides[1]:
        return tell.say("Close {piece}: {one} to {other}", piece=sides[0], one=edges[0], other=edges[1])
    return tell.say("Sew {one} to {other}: {edge}", one=sides[0], other=sides[1], edge=f"{edges[0]} / {edges[1]}")


def _own_title(tell: Telling, task: Task) -> str:
    piece = tell.titles(task.all_pieces)
    edges = " / ".join(filter(None, (tell.edges(task.places), tell.edges(task.onto))))
    name = in_words(task.own[0].name.rpartition(".")[2]) or edges
    return ": ".join(filter(None, (piece, name))) or tell.say("In the style's own words")


_TITLES: dict[str, Callable[[Telling, Task], str]] = {
    TaskKind.FUSE: lambda tell, task: tell.say("Fuse the interfacing"),
    TaskKind.MOUNT: lambda tell, task: tell.say("Lay the inner layers behind"),
    TaskKind.TAPE: lambda tell, task: tell.say("Tape: {pieces}", pieces=tell.titles(task.all_pieces)),
    TaskKind.DARTS: lambda tell, task: tell.say("Darts: {pieces}", pieces=tell.titles(task.all_pieces)),
    TaskKind.TUCKS: lambda tell, task: tell.say("Tucks: {pieces}", pieces=tell.titles(task.all_pieces)),
    TaskKind.PLEATS: lambda tell, task: tell.say("Pleats: {pieces}", pieces=tell.titles(task.all_pieces)),
    TaskKind.SEAM: _seam_title,
    TaskKind.ZIP: lambda tell, task: tell.say("Zip: {pieces}", pieces=tell.places(task.places)),
    TaskKind.MAKE_UP: lambda tell, task: tell.say("Make up the {layer}", layer=tell.layer(task)),
    TaskKind.LAY_IN: lambda tell, task: tell.say("Lay in the {layer}", layer=tell.layer(task)),
    TaskKind.JOIN: lambda tell, task: tell.say("Sew on the {layer}: {edges}", layer=tell.layer(task), edges=tell.edges(task.places)),
    TaskKind.BIND: lambda tell, task: tell.say("Bind: {edges}", edges=tell.edges(task.places)),
    TaskKind.FACE: lambda tell, task: tell.say("Face: {edges}", edges=tell.edges(task.places)),
    TaskKind.FINISH: lambda tell, task: tell.say("Finish: {edges}", edges=tell.places(task.places)),
    TaskKind.HEM: lambda tell, task: tell.say("Hem: {pieces}", pieces=tell.titles(task.all_pieces)),
    TaskKind.BONES: lambda tell, task: tell.say("Bones: {pieces}", pieces=tell.titles(task.all_pieces)),
    TaskKind.FELL: lambda tell, task: tell.say("Fell the {layer} beside the zip", layer=tell.layer(task)),
    TaskKind.BUTTONS: lambda tell, task: tell.say("Fastenings"),
    TaskKind.OWN: _own_title,
}

REASONS = {  # why a step comes before another, as `drafting.reach.WHY` has it for messages
    "mouth": "the end of {place} is caught in it",
    "end": "the end of {place} is caught under it",
    "enclosed": "{place} is then closed in",
    "zip": "the end of the zip in {place} is caught under it",
    "through": "the zip in {place} runs through it",
    "along": "the bone in {place} lies along it",
    "needle": "a needle that meets the bone in {place} breaks",
    "bone": "the channel in {place} is then closed",
    "laid": "{place} is caught in it",
    "flat": "{place} no longer lies flat",
    "layer": "{place} must be made up for it",
}
