"""Whatever is asked of a piece, it comes out sound or it is said why not: changes of all sorts, sensible or not."""

import numpy as np
import shapely
from changing import dense, figures, hold_planned, reading, sheets
from hypothesis import given, settings
from hypothesis import strategies as st
from workbench import told

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.source.diagnostics import render


@st.composite
def changed(draw):
    """A piece with one to five changes one after the other, and perhaps a cut, each told with names that may be known."""
    sheet = draw(sheets(0, 3))
    darts, edges, corners = list(sheet.darts), list(sheet.edges), list(sheet.starts.values())

    def one(names):
        strange = ["gone", "new", "fold1", "strip", "cut_seam", "O", "e0"]
        return draw(st.sampled_from(strange if not names or draw(st.integers(0, 40)) == 23 else names))

    ends = [(edge, draw(st.integers(20, 80))) for edge in draw(st.permutations(sheet.edges))[:2]]

    def mm():
        return f"{draw(st.sampled_from([8, 15, 30, 60, 10, 20, 1, 120, 400, 0, -5]))} mm"

    def spot():
        return draw(
            st.sampled_from(
                [
                    f"at {draw(st.integers(10, 90))} / 100",
                    f"at {draw(st.integers(5, 95))} / 100",
                    f"at {draw(st.integers(2, 14))} cm",
                    "at half",
                    f"at {mm()}",
                    f"at {draw(st.integers(-10, 120))} / 100",
                    f"at {mm()} from {one(corners)}",
                    f"at point {one(corners)}",
                ]
            )
        )

    def by():
        part = f" by {draw(st.integers(-10, 130) if draw(st.booleans()) else st.integers(1, 99))} %"
        return draw(st.sampled_from(["", "", " by half", part, f" by {mm()}"]))

    def spent():
        """A dart, and how much of it is moved: named no more where that is all of it."""
        name, part = one(darts), by()
        if not part and name in darts:
            darts.remove(name)
        return name + part

    def called():
        name = draw(st.sampled_from(["new", "other", "third"]))
        if name not in darts:
            darts.append(name)
        return f", called {name}"

    def pressed():
        return draw(st.sampled_from(["", "", "", f", pressed toward {one(corners)}"]))

    def two(between):
        first, second = draw(st.permutations(edges))[:2]
        return f"{first} {between} {first if draw(st.integers(0, 40)) == 23 else second}"

    def many():
        return draw(st.sampled_from(["each", "in all"]))

    def change():
        count = draw(st.sampled_from([1, 2, 3, 5, 0]))
        kinds = [
            "pivot",
            "pivot",
            "into",
            "close",
            "shorten",
            "hinged",
            "spread",
            "way",
            "pleats",
            "true",
            "mirror",
            "open_out",
            "extend",
            "stretch",
            "join",
            "facing",
            "release",
        ]
        kind = draw(st.sampled_from(kinds if darts else kinds[5:-1]))
        return {
            "pivot": lambda: f"pivot {spent()} to {one(edges)} {spot()}{called()}{pressed()}",
            "into": lambda: f"pivot {spent()} into {one(darts)}",
            "close": lambda: f"close {spent()}, opening {one(edges)} {spot()}",
            "shorten": lambda: f"shorten {one(darts)} by {mm()}",
            "release": lambda: f"release {one(darts)}",
            "hinged": lambda: f"spread {two(f'by {mm()} {many()}, hinged on')}, in {count} cuts",
            "spread": lambda: f"spread {two(f'by {mm()} {many()} and')} by {mm()}, in {count} cuts",
            "way": lambda: f"spread {ends[0][0]} by {mm()}, hinged on {ends[1][0]}, along way",
            "pleats": lambda: f"pleats {count} on {two('to')}, {mm()} deep{called()}{pressed()}",
            "true": lambda: f"true {one(edges)}",
            "mirror": lambda: "mirror",
            "open_out": lambda: f"open out at {one(edges)}",
            "extend": lambda: f"extend {one(edges)} by {mm()}, called strip",
            "stretch": lambda: f"extend {one(edges)} by {mm()} from {one(corners)} to S0, folded back",
            "join": lambda: f"join front along {one(edges)} to {one(edges)}",
            "facing": lambda: f"facing {mm()} deep along {one(edges)}",
        }[kind]()

    text = (
        sheet.text
        + "".join(f"    point S{k} along {edge} from {sheet.starts[edge]} by {part} / 100\n" for k, (edge, part) in enumerate(ends))
        + "    line way S0 to S1\n"
    )
    if draw(st.booleans()):
        text += "piece changed from front\n" + "".join(f"    {change()}\n" for _ in range(draw(st.integers(1, 5))))
    else:
        text += "foundation changed from front\n" + "".join(f"    {change()}\n" for _ in range(draw(st.integers(0, 2))))
        closing = draw(st.sampled_from(["", "", f", closing {one(darts)}", f", closing {one(darts)} and {one(darts)}"]))
        stops = draw(
            st.sampled_from(
                [
                    f"from {one(darts)} to {one(darts)}",
                    f"from {one(darts)} to {one(edges)} {spot()}",
                    f"from {one(edges)} {spot()} to {one(edges)} {spot()}",
                    f"from {ends[0][0]} to {ends[1][0]} along way",
                    f"from {one(darts)} to {one(edges)} along way",
                ]
            )
        )
        text += f"cut changed {stops}{closing}, seam cut_seam\n    piece one holding {one(corners)}\n    piece two\n" + "".join(
            f"        {change()}\n" for _ in range(draw(st.integers(0, 2)))
        )
    return text + "allow\n    others 1 cm\n"


def hold_sound(text, seed):
    """Only errors that are said: every piece that is given has closed, finite, uncrossed edges and can be finished."""
    style, said = reading(text)
    if style is None:
        assert said and all("Traceback" not in render(one) for one in said)
        return 0
    good = 0
    for one in draft(style, figures(seed)):
        hold_planned(one)
        for body in np.flatnonzero(one.failed):
            assert all(render(error) for error in told(one, body))
        if one.failed.all():
            continue
        good += int((~one.failed).sum())
        finish(one.pattern)
        for piece in (*one.pattern.pieces, *one.pattern.foundations):
            piece = piece.take(~one.failed)
            ring = dense(piece.trued_outline())
            assert np.isfinite(ring).all(), piece.name
            assert piece.stitch_outline().gap().max() < 0.01, piece.name
            assert shapely.is_valid(shapely.remove_repeated_points(shapely.polygons(ring), 1e-6)).all(), piece.name
            for edge in piece.edges:
                assert np.abs(sum(strip.length() for strip in edge.strips) - edge.closed_length()).max() < 0.01, edge.name
                for dart in edge.darts:
                    assert np.abs(dart.near_leg.length() - dart.far_leg.length()).max() < 1e-4, dart.name
    return good


@given(changed(), st.integers(0, 2**32 - 1))
@settings(max_examples=25, deadline=None)
def test_changes_of_all_sorts(text, seed):
    hold_sound(text, seed)
