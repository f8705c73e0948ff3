"""Whatever a style asks, a body that cannot be drafted is told which rule fails and why: never only that a piece cannot be drawn.

Styles are made of small pieces by point whose places, moves, lines, curves, darts and changes come from short lists of figures and
names: so lines run along each other, points lie in one place, darts point along their edge and tapes do not reach, far more
often than in a workshop.  Each style is drafted for bodies among whom some differences are nothing or less than nothing.
`LEADING_NOWHERE=100000` drafts so many; a few are usual.
"""

import os
import random

import numpy as np
from changing import reading

from tapeline.finishing.whole import drafted_whole

LAST_GUARD = "cannot be drawn for these measures"
DRAFTS = int(os.environ.get("LEADING_NOWHERE", "1200"))
WAISTS = np.array([600.0, 700.0, 700.0, 840.0, 1000.0, 655.5, 760.0, 1049.0])
DEPTHS = np.array([200.0, 200.0, 175.0, 240.0, 180.0, 199.0, 221.0, 210.0])
LENGTHS = [
    "3 cm",
    "10 cm",
    "20 cm",
    "waist / 4",
    "waist_to_hip",
    "waist / 4 - 17.5 cm",
    "waist_to_hip - 20 cm",
    "1 mm",
    "-4 cm",
    "30 cm",
    "0 cm",
]
POSITIVE = ["3 cm", "10 cm", "20 cm", "waist / 4", "waist_to_hip", "1 mm", "8 mm", "30 cm"]
ANGLES = ["0 deg", "90 deg", "30 deg", "180 deg", "-45 deg"]
WAYS = ["up", "down", "left", "right"]
SIDES = ["above", "below", "left", "right"]
EDGES = ["one", "two", "three", "four"]


class Maker:
    """Writes one style from a seed; names are those of the points that were made so far."""

    def __init__(self, seed):
        self.random = random.Random(seed)
        self.points = ["A", "B", "C", "D"]

    def of(self, *choices):
        return self.random.choice(choices)

    def point(self):
        return self.of(*self.points)

    def two(self):
        return self.random.sample(self.points, 2)

    def length(self):
        return self.of(*LENGTHS)

    def line(self):
        p, q = self.two()
        return self.of(f"{p} to {q}", f"level of {p}", f"plumb of {p}", *EDGES)

    def base(self):
        p, q = self.two()
        edge = self.of("one", "two", "three")
        ends = {"one": ("A", "B"), "two": ("B", "D"), "three": ("D", "C"), "four": ("C", "A")}[edge]
        return self.of(
            p,
            f"halfway {p} to {q}",
            f"along {edge} from {self.of(*ends)} by {self.of('1/3', '1/2', *LENGTHS)}",
            f"where {self.line()} meets {self.line()}",
            f"where square from {p} meets {self.line()}",
            f"where {self.of(*POSITIVE)} from {p} meets {self.line()}, {self.of(*SIDES)}",
            f"where {self.of(*POSITIVE)} from {p} meets {self.of(*POSITIVE)} from {q}, {self.of(*SIDES)}",
            f"along half of the angle at {p} from {q} to {self.point()} by {self.length()}",
            f"carried on from {self.of(*ends)} along {edge} by {self.length()}",
        )

    def move(self):
        p, q = self.two()
        return self.of(
            f"{self.of(*WAYS)} {self.length()}",
            f"toward {p} by {self.of('1/2', *LENGTHS)}",
            f"away from {p} by {self.length()}",
            f"square to {self.line()} {self.of(*WAYS)} {self.length()}",
            f"swung about {p} by {self.of(*LENGTHS, *ANGLES)}",
            f"at {self.of(*ANGLES)} by {self.length()}",
        )

    def direction(self, last=False):
        return self.of(
            "level",
            "plumb",
            f"square to {self.line()}",
            f"along {self.line()}",
            f"at {self.of(*ANGLES)}",
            *([] if last else [f"toward {self.point()}"]),
        )

    def stretch(self, name, start, end):
        through = f" through {self.point()}" if self.random.random() < 0.15 else ""
        ends = f", leaving {self.direction()}" if self.random.random() < 0.5 else ""
        ends += f", arriving {self.direction(True)}" if self.random.random() < 0.5 else ""
        bend = (
            ""
            if through
            else self.of("", "", f", bowed {self.of(*POSITIVE)}", f", hollow {self.of(*POSITIVE)}", f", long {self.of(*POSITIVE)}")
        )
        return self.of(
            f"line {name} {start} to {end}",
            f"line {name} {start} to {end}",
            f"curve {name} {start} to {end}{through}{ends}{bend}",
            f"arc {name} {start} to {end}, bowed {self.of(*POSITIVE)} {self.of(*WAYS)}",
            f"arc {name} {start} to {end}, radius {self.of('20 cm', '40 cm', 'waist / 4')} {self.of(*WAYS)}",
            f"arc {name} {start} to {end} about {self.point()}",
        )

    def dart(self, name):
        edge = self.of("one", "two")
        held = self.of("", "", ", held to low")
        place = self.of("at half", "at 5 cm", "at 1/3", f"at point {self.point()}", f"between {' and '.join(self.two())}")
        rows = [] if place.startswith("between") else [f"intake {self.of('2 cm', '4 cm', 'waist / 4 - 17 cm', '1 mm')}{held}"]
        rows.append(
            self.of(
                f"point {self.of(*POSITIVE)} long",
                f"point at {self.point()}",
                f"point 6 cm long, toward {self.point()}",
                "point 2 cm above low",
                "point 9 cm long, plumb",
            )
        )
        return [f"dart on {edge} {place}, called {name}", *(f"    {row}" for row in rows)]

    def changes(self):
        edge, other = self.random.sample(EDGES, 2)
        return self.of(
            f"pivot tuck to {edge} at half, called moved",
            f"pivot tuck by half to {edge} at 1/3, called moved",
            f"close tuck, opening {edge} at half",
            f"shorten tuck by {self.length()}",
            f"spread {edge} by {self.of(*POSITIVE)}, hinged on {other}, in 2 cuts",
            f"spread {edge} by {self.of(*POSITIVE)} and {other} by {self.of(*POSITIVE)}, in 2 cuts",
            f"pleats 2 on {edge} to {other}, {self.of(*POSITIVE)} deep, called fold",
            f"extend {edge} by {self.of(*POSITIVE)}{self.of('', ', folded back')}, called strip",
            f"open out at {edge}",
            f"facing {self.of(*POSITIVE)} deep along {edge}",
            "mirror",
            f"extend {edge} by {self.of(*POSITIVE)} from {self.point()} to {self.point()}, called strip",
        )

    def text(self):
        lines = ["levels", "    top", "    low 15 cm below top", 'foundation ground "Ground"', "    point A start"]
        square = self.random.random() < 0.5
        w, h = (self.of("20 cm", "waist / 4"), self.of("30 cm", "waist_to_hip")) if square else (self.length(), self.length())
        lines += [f"    point B A across {w}", f"    point C A down {h}"]
        lines += [f"    point D B down {h}" if square else f"    point D {self.of('A', 'B', 'C')} {self.move()}, {self.move()}"]
        for name in ("E", "F")[: self.random.randrange(3)]:
            lines.append(
                f"    point {name} {self.base()}, {self.move()}" if self.random.random() < 0.6 else f"    point {name} {self.base()}"
            )
            self.points.append(name)
        corners = ["A", "B", "D", "C"]
        straight = self.random.random() < 0.4
        for name, start, end in zip(EDGES, corners, [*corners[1:], "A"], strict=True):
            lines.append("    " + (f"line {name} {start} to {end}" if straight else self.stretch(name, start, end)))
        lines.append(f"    outline {', '.join(EDGES)}")
        lines.append(f"    level low at {self.point()}")
        if self.random.random() < 0.6:
            lines += [f"    {row}" for row in self.dart("tuck")]
        if self.random.random() < 0.2:
            lines += [
                f"    dart at {self.point()}, called inner",
                "        intake 2 cm",
                f"        points {self.of(*POSITIVE)} above it, {self.of(*POSITIVE)} below it",
            ]
        kind = self.random.random()
        if kind < 0.2:
            stops = [
                f"{edge} {self.of('at half', 'at 5 cm from ' + corner)}"
                for edge, corner in zip(*[iter(("one", "A", "three", "D"))] * 2, strict=True)
            ]
            lines += [
                f"cut ground from {stops[0]} to {stops[1]}, seam middle",
                '    piece left_part "Left"',
                '    piece right_part "Right"',
            ]
        else:
            lines += ['piece made "Made" from ground'] + [
                f"    {self.changes()}" for _ in range(self.random.randrange(1 + (kind > 0.4) + (kind > 0.8)))
            ]
        return "\n".join(lines) + "\nallow\n    others 1 cm\n"


def test_no_piece_is_refused_without_the_rule_that_fails():
    done, styles, seed, nowhere = 0, 0, int(os.environ.get("LEADING_SEED", "0")), []
    while done < DRAFTS:
        seed += 1
        text = Maker(seed).text()
        style, _ = reading(text)
        if style is None:
            continue
        styles += 1
        for one in drafted_whole(style, {"waist": WAISTS, "waist_to_hip": DEPTHS}):
            done += len(one.index)
            for place in range(len(one.index)):
                nowhere += [(seed, found.title, found.found) for found in one.diagnostics(place) if LAST_GUARD in found.title]
    assert styles > DRAFTS / 60 and not nowhere, f"{len(nowhere)} of {done}: {nowhere[:20]}"
