"""Laws of the order of work: every seam once, and each when its ends can still be reached.

The order is replayed on paper pieces, by another method than the one that makes it.  Of each piece the rim is kept, a ring of
edges.  Sewing two edges takes both out and ties the neighbours together; hemming or facing one takes it out and covers the
ends beside it.  Before a seam neither of its ends may be covered, and its two edges may not follow each other on a rim already,
since then something goes over the place where they meet; but where three corners meet, the last seam is set in.
"""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest

from tapeline.drafting.across import EdgeEnd, Sewn
from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.session import Session
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

HOME = standard_folder("styles")
STYLES = sorted(path.stem for path in HOME.glob("*.style"))
FREE = ("hem", "bind", "face", "join")


def drafted(text: str):
    style, said = read(Source("garment.style", text), FolderWorld(None))
    assert style is not None, said
    (made,) = draft(style, {"waist": np.array([700.0])})
    return made


_SHIPPED: dict = {}


def shipped(name: str):
    if name not in _SHIPPED:
        drafts = Session(keep=True).read(HOME / f"{name}.style").draft([HOME / "bodies" / "maud.toml"], accept=True)
        assert drafts.ok
        _SHIPPED[name] = drafts.bodies[0].draft
    return _SHIPPED[name]


# ------------------------------------------------------------ the replay


class Paper:
    """The rims of the pieces: for each end of an edge the end that it meets, or that something covers it."""

    def __init__(self, made) -> None:
        self.sewn = Sewn(made.pattern, made.run)
        self.meets: dict[EdgeEnd, EdgeEnd] = {}
        self.covered: set[EdgeEnd] = set()
        for piece in made.pattern.pieces:
            names = [edge.name for edge in piece.edges]
            for before, after in pairwise([*names, names[0]]):
                self.tie(EdgeEnd(piece.name, before, "end"), EdgeEnd(piece.name, after, "start"))
        self.cut = dict(self.meets)

    def tie(self, one: EdgeEnd, other: EdgeEnd) -> None:
        self.meets[one], self.meets[other] = other, one

    def ends(self, seam) -> list[tuple[EdgeEnd, EdgeEnd]]:
        """The ends of a seam's edges that are laid together, where it is sewn from edge to edge."""
        places, found = {*seam.one, *seam.other}, {}
        for end, partner in self.sewn.partners.items():
            if (end.piece, end.edge) in places and (partner.piece, partner.edge) in places:
                found[frozenset((end, partner))] = (end, partner)
        return list(found.values())

    def caught(self, seam) -> list[EdgeEnd]:
        """Ends of a seam that cannot be reached."""
        pairs = self.ends(seam)
        notches = [one for one, other in pairs if one != other and self.meets.get(one) == other and not self.in_a_corner(one)]
        return [*notches, *(end for pair in pairs for end in pair if end in self.covered)]

    def in_a_corner(self, end: EdgeEnd) -> bool:
        """Whether three corners of cloth meet there and nothing else: whichever seam is last is set into the corner."""
        at = end
        for _ in range(3):
            partner = self.sewn.partners.get(at)
            if partner is None:
                return False
            at = self.cut[partner]
        return at == end

    def sew(self, seam) -> None:
        pairs = self.ends(seam)
        for one, other in pairs:
            beside, across = self.meets.get(one), self.meets.get(other)
            if beside is not None and across is not None and beside != other:
                self.tie(beside, across)
        if not pairs:
            self.take_out({*seam.one, *seam.other})

    def take_out(self, places) -> None:
        """Edges taken by a seam of several: where the ends beside two of them are a seam still to be sewn, they now meet."""
        for one, other in self.sewn.partners.items():
            beside = [self.meets.get(end) for end in (one, other)]
            if one != other and all(end is not None and (end.piece, end.edge) in places for end in beside):
                self.tie(one, other)

    def finish(self, places) -> None:
        for piece, edge in places:
            for at in ("start", "end"):
                beside = self.meets.get(EdgeEnd(piece, edge, at))
                if beside is not None:
                    self.covered.add(beside)


def replay(made) -> None:
    paper, done = Paper(made), []
    for step in made.ledgers.order.steps:
        seams = [seam for task in step.tasks for seam in task.seams]
        for seam in seams:
            assert paper.caught(seam) == [], f"step {step.number}"
        for seam in seams:
            paper.sew(seam)
            done.append(seam)
        for task in step.tasks:
            if task.kind in FREE:
                paper.finish(task.places)
    assert len(done) == len({id(seam) for seam in done}) == len(made.pattern.seams)


@pytest.mark.parametrize("name", STYLES)
def test_every_seam_of_a_shipped_style_once_and_in_reach(name):
    replay(shipped(name))


@pytest.mark.parametrize("name", STYLES)
def test_every_edge_and_dart_of_a_shipped_style_is_worked_once(name):
    made = shipped(name)
    worked: dict = {}
    for step in made.ledgers.order.steps:
        for task in step.tasks:
            for place in task.places if task.kind in ("seam", "zip", "lay in", "darts", "tucks", "pleats", *FREE) else ():
                worked.setdefault(place, set()).add(step.number)
    darts = {(piece.name, dart.name) for piece in made.pattern.pieces for dart in piece.darts()}
    sewn = {place for seam in made.pattern.seams for place in (*seam.one, *seam.other)}
    assert darts | sewn <= set(worked)
    seams_of = {place: sum(place in (*seam.one, *seam.other) for seam in made.pattern.seams) for place in sewn}
    assert [place for place, steps in worked.items() if len(steps) > max(1, seams_of.get(place, 1))] == []


@pytest.mark.parametrize("name", STYLES)
def test_every_edge_of_a_shipped_style_that_has_an_allowance_is_worked(name):
    made = shipped(name)
    worked = {place for step in made.ledgers.order.steps for task in step.tasks if task.kind != "tape" for place in task.places}
    for piece in made.pattern.pieces:
        for edge in piece.edges:
            allowance = made.pattern.allowances.get((piece.name, edge.name))
            bare = allowance is None or allowance.kind == "none" or edge.name == piece.cut.fold
            assert bare or piece.cut.purpose == "interfacing" or (piece.name, edge.name) in worked, f"{piece.name}.{edge.name}"


# ------------------------------------------------------------ garments made up by chance


def panel(name: str, wide: float, high: float) -> str:
    return (
        f'piece {name} "{name}"\n    cut 1\n    point A start\n    point B A across {wide} cm\n    point C A down {high} cm\n'
        f"    point D B down {high} cm\n    line left A to C\n    line top A to B\n    line right B to D\n    line low C to D\n"
        "    outline left, top, right, low\n"
    )


def garment(chance: random.Random) -> str:
    """Rows of panels sewn side by side, rows sewn to rows of as many panels or to one wide panel; said in any order."""
    columns, rows = chance.randint(2, 4), chance.randint(2, 4)
    parts, seams = [], []
    before: list[str] = []
    for row in range(rows):
        whole = chance.random() < 0.35
        names = [f"w{row}"] if whole else [f"p{row}{column}" for column in range(columns)]
        parts += [panel(name, 10 * columns if whole else 10, chance.randint(5, 20)) for name in names]
        seams += [f"sew {one}.right to {other}.left" for one, other in pairwise(names)]
        if before and len(before) == len(names):
            seams += [f"sew {upper}.low to {lower}.top" for upper, lower in zip(before, names, strict=True)]
        elif before:
            upper, lower = (" and ".join(f"{name}.{edge}" for name in some) for some, edge in ((before, "low"), (names, "top")))
            seams.append(f"sew {upper} to {lower}")
        if chance.random() < 0.4:
            seams.append(f"sew {names[-1]}.right to {names[0]}.left")
        before = names
    chance.shuffle(parts)
    chance.shuffle(seams)
    allow = "allow\n    low 3 cm turned up\n    top 1 cm faced\n    others 1 cm\n"
    return 'language 1\nstyle garment "Garment"\nmeasure waist\n' + "".join(parts) + "\n".join(seams) + "\n" + allow


@pytest.mark.parametrize("seed", range(24))
def test_garments_made_up_by_chance_can_be_sewn_in_their_order(seed):
    replay(drafted(garment(random.Random(seed))))


def test_the_replay_finds_a_wrong_order():
    """Turned round, no order of more than one row of panels can be sewn."""
    made = drafted(garment(random.Random(3)))
    order = made.ledgers.order
    object.__setattr__(order, "steps", tuple(reversed(order.steps)))
    with pytest.raises(AssertionError):
        replay(made)


@pytest.mark.parametrize("seed", range(24))
def test_a_step_is_kept_or_refused(seed):
    """What a step asks for by chance is done in that order, or refused; it is refused where the usual order's rules forbid it."""
    chance = random.Random(seed)
    text = garment(chance)
    names = [line.split()[1] for line in text.splitlines() if line.startswith("sew ")]
    first, then = chance.choice(names), chance.choice(names)
    made = drafted(text + f'step one "Now this." on {then} before {first}\n')
    number = {}
    for step in made.ledgers.order.steps:
        for task in step.tasks:
            for seam in task.seams:
                number |= dict.fromkeys((*seam.one, *seam.other), step.number)
    one, other = (number[tuple(name.split("."))] for name in (first, then))
    refused = [failure.code for failure in made.failures if failure.code == "D595"]
    assert refused == [] if other <= one else refused == ["D595"]
    if not refused:
        replay(made)


# ------------------------------------------------------------ orders that are published


def position(made, kind: str, *places: str) -> int:
    wanted = [tuple(place.split(".")) for place in places]
    found = [s.number for s in made.ledgers.order.steps for t in s.tasks if t.kind == kind and all(p in t.places for p in wanted)]
    assert len(found) == 1, (kind, places)
    return found[0]


def test_the_order_of_a_straight_skirt():
    """Darts; zip in the centre back; side seams; waistband; hem: "Pencil Skirt Construction" (gksagenda.blogspot.com, 2014), a web
    page, and "Learning to Sew: Lining pants and skirts" (onlinefabricstore.com), which has the lining in before the waistband.
    The hook comes after the hem in the first."""
    made = shipped("straight_skirt")
    steps = made.ledgers.order.steps
    order = [
        max(step.number for step in steps for task in step.tasks if task.kind == "darts" and not task.layer),
        position(made, "zip", "back.centre"),
        position(made, "seam", "front.side", "back.side"),
        position(made, "seam", "front.waist", "back.waist", "band.lower"),
        position(made, "hem", "front.hem", "back.hem"),
    ]
    assert order == sorted(order)
    assert {task.kind for step in steps[order[-1] :] for task in step.tasks} <= {"buttons"}


def test_the_order_of_a_lined_skirt():
    """The lining made up, then in, then the waistband (onlinefabricstore.com, as above)."""
    made = shipped("vented_pencil_skirt")
    lining = [step.number for step in made.ledgers.order.steps for task in step.tasks if task.layer == "lining" and task.kind == "seam"]
    assert lining
    assert max(lining) < position(made, "seam", "band.lower")
    assert position(made, "zip", "back.centre") < position(made, "seam", "band.lower")


def test_the_order_of_a_princess_bodice():
    """Panels first, then the centre back with its zip and the shoulders (common practice); the facing's shoulder seams before it is
    sewn on (Apparel: Design, Textiles and Construction, 2012, pp. 452-453); the sleeve's seam, then the sleeve into the armhole
    (Kalka, Set-in Sleeves, Virginia Cooperative Extension 346-122, 1985); hems last (common practice), but for the hook and loop
    above the zip, which are sewn on after the hem as a skirt's are (gksagenda.blogspot.com, as above)."""
    made = shipped("princess_bodice")
    front, zipped = position(made, "seam", "front.princess"), position(made, "zip", "back.centre")
    shoulder, sides = position(made, "seam", "back.shoulder"), position(made, "seam", "side_front.side")
    facing, joined = position(made, "seam", "front_facing.shoulder"), position(made, "seam", "front.neckline")
    sleeve, cap = position(made, "seam", "sleeve.front_seam"), position(made, "seam", "sleeve.cap")
    assert front < zipped < shoulder < joined and facing < joined
    assert front < shoulder < sides < cap and sleeve < cap
    after_hem = made.ledgers.order.steps[position(made, "hem", "sleeve.hem") :]
    assert [(task.kind, task.pieces) for step in after_hem for task in step.tasks] == [("buttons", ("back",))]


# ------------------------------------------------------------ what cannot be reached


BAND = 'step ends "Close the ends." on band.close and band.wrap_close {}\nstep inside "Fell it." on band.upper to band.lower\n'


@pytest.mark.parametrize(
    "style, steps, why",
    [
        ("straight_skirt", BAND.format("after inside"), "band.close is then closed in on both sides"),
        ("straight_skirt", BAND.format("before inside"), ""),
        ("straight_skirt", 'step "Hem." on front.hem before side\n', "the end of front.side is caught under it"),
        ("straight_skirt", 'step "Zip." on back.centre after band.lower\n', "back.centre is caught under it"),
        (
            "close_bodice",
            'step "Sew." on front.shoulder before front.shoulder_dart\n',
            "the mouth of front.shoulder_dart is caught in it",
        ),
        ("straight_skirt", 'step "Hang." after side before hem\n', ""),
        (
            "vented_pencil_skirt",
            'step "Line it." on under_lining.top before back.centre\n',
            "back.centre is caught under it",
        ),
        ("vented_pencil_skirt", 'step "Line it." on under_lining.top after band.lower\n', "is caught in it"),
        (
            "princess_bodice",
            'step "Sleeve." on sleeve.cap before side_front.side\n',
            "",
        ),  # as into a shirt: the other way is usual alone
    ],
)
def test_what_a_step_cannot_reach_is_refused_and_why(style, steps, why, tmp_path):
    (tmp_path / f"{style}.style").write_text((HOME / f"{style}.style").read_text(encoding="utf-8") + steps, encoding="utf-8")
    drafts = Session().read(tmp_path / f"{style}.style").draft([HOME / "bodies" / "maud.toml"], accept=True)
    said = [*drafts.diagnostics, *(one for body in drafts.bodies for one in body.diagnostics)]
    refused = {one.expected for one in said if one.code == "D595"}
    assert len(refused) == (1 if why else 0)
    assert all(why in words for words in refused)
