"""What moved from one draft to another: places as landmarks name them, directions, shares of measures; figures by hand."""

from __future__ import annotations

import copy
import json
from functools import cache

import numpy as np
import pytest

from tapeline import Session
from tapeline.drafting.landmarks import landmarks
from tapeline.locking.moved import moved_between
from tapeline.locking.recorded import lock_of_record, places_of_record
from tapeline.locking.recording import rows_of
from tapeline.making.comparing import compared_drafts
from tapeline.making.moved_words import in_short, place_words, shares_words, ways
from tapeline.making.papers import record_of as record_of_work
from tapeline.source.world import standard_folder

STYLES = standard_folder("styles")
NELL = (STYLES / "bodies" / "nell.toml").read_text(encoding="utf-8")
PANEL = """language 1
style panel "Panel"
measure hip, waist_to_hip
choose length 60 cm from 40 cm to 90 cm
piece panel "Panel"
    cut 2 on fold at centre
    point A start
    point B A across hip / 4 + 1 cm
    point C A down waist_to_hip * 2 + length - 40 cm
    point D B down waist_to_hip * 2 + length - 40 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
"""


@cache
def read(name: str):
    return Session(keep=True).read(STYLES / f"{name}.style" if name != "panel" else PANEL)


@cache
def drafted(name: str, **figures: str):
    """A style for Nell, with other figures for some measures."""
    text = NELL
    for measure, figure in figures.items():
        (old,) = [line for line in text.splitlines() if line.split(" ")[0] == measure]
        text = text.replace(old, f'{measure} = "{figure}"')
    (draft,) = read(name).draft([text])
    return draft


def record_of(draft):
    return record_of_work(draft.work())


@cache
def compared(name: str, figures: tuple[tuple[str, str], ...]):
    return compared_drafts(drafted(name), drafted(name, **dict(figures)))


@pytest.mark.parametrize("name", ["corselet_skirt", "princess_bodice", "half_circle_skirt"])
def test_the_places_of_a_record_are_the_landmarks_of_the_draft(name):
    draft = drafted(name)
    pieces = {piece["name"]: piece for piece in record_of(draft)["pieces"]}
    for finished in draft.finished.pieces:
        expected = {place: at[draft.place] for place, at in landmarks(finished.piece).items() if np.isfinite(at[draft.place]).all()}
        found = places_of_record(pieces[finished.piece.name])
        assert expected.keys() <= found.keys()
        assert all(np.allclose(found[place], at, atol=1e-3) for place, at in expected.items())
        assert all(
            place.split(" ")[0] in pieces[finished.piece.name]["title"] or " notch" in place for place in found.keys() - expected.keys()
        )


@pytest.mark.parametrize("name", ["corselet_skirt", "princess_bodice"])
def test_the_rows_of_a_record_are_those_that_a_lock_would_have(name):
    draft = drafted(name)
    rows = rows_of([draft.whole], (draft.name,)).rows
    found = lock_of_record(record_of(draft)).rows
    known = {key: row for key, row in rows.items() if key in found}
    lacking = {key.sort or key.section for key in rows.keys() - found.keys()}
    assert lacking <= {"courses", "cut", "dart"} and all(
        " peak" in key.name for key in rows.keys() - found.keys() if key.sort == "dart"
    )
    for key, (value,) in known.items():
        assert found[key][0] == value if isinstance(value, str) else np.allclose(found[key][0], value, atol=2e-3), key


@pytest.mark.parametrize("name", ["corselet_skirt", "princess_bodice", "half_circle_skirt", "panel"])
def test_a_draft_beside_itself_tells_nothing(name):
    done = compared_drafts(drafted(name), drafted(name))
    assert not done.moved.moved and done.moved.places == [] and done.moved.changed == [] and in_short(done) == []
    assert not any(one.by for one in (*done.moved.girths, *done.moved.seams)) and done.moved.measures == [] and done.shares == {}


def test_a_panel_moves_by_a_quarter_of_the_hip_and_down_by_its_length():
    """By hand: the hip 4 cm wider, each quarter 1 cm; twice the depth, 1 cm longer, is 2 cm."""
    done = compared("panel", (("hip", "41.575 in"), ("waist_to_hip", "8.394 in")))  # 97.79 + 7.8105, 20.32 + 1.00076 cm
    places = {place.names[0]: place for place in done.moved.places}
    assert places.keys() == {"B", "C", "D"} and done.moved.laid["panel"].words == "A"
    quarter, deep = (41.575 - 38.5) * 25.4 / 4, (8.394 - 8.0) * 25.4 * 2
    assert (places["B"].out, places["B"].down) == pytest.approx((quarter, 0.0), abs=2e-3)
    assert (places["C"].out, places["C"].down) == pytest.approx((0.0, deep), abs=2e-3)
    assert (places["D"].out, places["D"].down) == pytest.approx((quarter, deep), abs=2e-3)
    assert done.moved.places[0].names[0] == "D" and place_words(places["D"]) == "D"
    assert {share.measure: (share.out, share.down) for share in done.shares["panel", "D"]} == {
        "hip": pytest.approx((quarter, 0.0), abs=1e-6),
        "waist_to_hip": pytest.approx((0.0, deep), abs=1e-6),
    }
    assert ways(done, places["D"].out, places["D"].down) == "out 3/4 in, down 13/16 in"
    assert shares_words(done, places["D"]) == "waist_to_hip down 13/16 in; hip out 3/4 in"


def test_where_a_piece_is_drawn_counts_for_nothing_and_what_lies_left_of_its_centre_goes_out_to_the_left():
    before = record_of(drafted("panel"))
    wider = record_of(drafted("panel", hip="40.5 in"))

    def shifted(record, across, down, turn=1.0):
        record = copy.deepcopy(record)

        def walk(value):
            if isinstance(value, list) and len(value) == 2 and all(isinstance(one, float | int) for one in value):
                return [value[0] * turn + across, value[1] + down]
            if isinstance(value, list):
                return [walk(one) for one in value]
            return {key: walk(one) for key, one in value.items()} if isinstance(value, dict) else value

        for piece in record["pieces"]:
            grain = piece.pop("grain")
            piece.update(walk(piece), grain=grain)
        return record

    assert not moved_between(before, shifted(before, 50.0, 70.0)).moved
    plain = moved_between(before, wider).places
    for other in (
        moved_between(before, shifted(wider, 50.0, 70.0)).places,
        moved_between(shifted(before, 0.0, 0.0, -1.0), shifted(wider, 0.0, 0.0, -1.0)).places,
    ):
        assert [(place.names, place.out, place.down) for place in other] == [(p.names, p.out, p.down) for p in plain]
    assert all(place.out > 12.0 and place.down == 0.0 for place in plain)


@pytest.mark.parametrize("name, measure, figure", [("corselet_skirt", "waist", "28 5/8 in"), ("princess_bodice", "bust", "36 1/8 in")])
def test_one_measure_that_differs_a_little_did_it_all(name, measure, figure):
    """By differences of drafts: the share of the only measure that differs is the whole move."""
    done = compared(name, ((measure, figure),))
    assert done.moved.places and {share.measure for shares in done.shares.values() for share in shares} == {measure}
    known = [place for place in done.moved.places if (place.piece, place.names[0]) in done.shares]
    assert len(known) > 0.9 * len(done.moved.places)
    for place in known:
        assert max(map(abs, done.left_over(place))) < 0.02 + 0.02 * place.far, place


def test_the_shares_of_two_measures_are_what_each_does_alone():
    both = compared("corselet_skirt", (("waist", "28 3/4 in"), ("hip", "39 in")))
    alone = {
        measure: {
            (place.piece, place.names): place
            for place in moved_between(
                record_of(drafted("corselet_skirt")), record_of(drafted("corselet_skirt", **{measure: figure}))
            ).places
        }
        for measure, figure in (("waist", "28 3/4 in"), ("hip", "39 in"))
    }
    checked = 0
    for place in both.moved.places:
        for share in both.shares[place.piece, place.names[0]]:
            other = alone[share.measure].get((place.piece, place.names))
            if other is not None:
                checked += 1
                assert abs(share.out - other.out) < 0.3 and abs(share.down - other.down) < 0.3
    assert checked > 50


def test_pieces_are_laid_together_where_it_is_asked():
    one, two = record_of(drafted("corselet_skirt")), record_of(drafted("corselet_skirt", waist="30 in", waist_to_hip="9 in"))
    usual, at_hem = moved_between(one, two), moved_between(one, two, ["front.hem/centre"])
    assert usual.laid["front"].words == "centre and waist" and at_hem.laid["front"].words == "hem/centre"
    assert at_hem.laid["back"].words == "centre and waist" and not at_hem.not_there(["front.hem/centre"])
    assert not [place for place in at_hem.places if place.piece == "front" and "hem/centre" in place.names]
    (wrong,) = moved_between(one, two, ["front.hem/sideways"]).not_there(["front.hem/sideways"])
    assert wrong.code == "C106"


def test_pieces_of_one_draft_alone_are_told():
    before = record_of(drafted("corselet_skirt"))
    after = json.loads(json.dumps(before))
    after["pieces"] = [piece for piece in after["pieces"] if piece["name"] != "stay"]
    done = moved_between(before, after)
    assert (done.gone, done.new, done.changed) == (["stay"], [], ["stay"])
    assert (moved_between(after, before).gone, moved_between(after, before).new) == ([], ["stay"])


@cache
def uneven(name: str, left: str, right: str):
    """A style for Nell with these hips, whole girths of either side, in inches."""
    halves = [f"{float(figure) / 2:.6f} in" for figure in (left, right)]
    text = "\n".join(line for line in NELL.splitlines() if line.split(" ")[0] != "hip")
    (draft,) = read(name).draft([f'{text}\n[left]\nhip = "{halves[0]}"\n[right]\nhip = "{halves[1]}"\n'])
    return draft


@pytest.mark.parametrize("name", ["straight_skirt", "sleeveless_blouse", "princess_dress", "six_gore_skirt"])
def test_beside_an_even_draft_one_whose_sides_hardly_differ_has_moved_by_nothing(name):
    """Every row has its fellow, of folded pieces and of pairs: only figures differ, by less than is seen."""
    both = record_of(drafted(name)), record_of(uneven(name, "38.5002", "38.4998"))
    assert {piece["name"] for piece in both[0]["pieces"]} != {piece["name"] for piece in both[1]["pieces"]}
    for before, after in (both, both[::-1]):
        moved = moved_between(before, after)
        assert moved.gone == moved.new == []
        rows = [move for move in moved.moves if move.key.sort != "length" or move.by(0) is None]
        assert not [move.key for move in rows if move.by(0) is None or move.far(0) > 0.02]


def test_a_wider_hip_on_the_left_moves_the_left_side_out_and_the_right_one_in():
    """By hand: the hip 1 in more on the left than on the right, each quarter by 1/8 in."""
    moved = moved_between(record_of(drafted("straight_skirt")), record_of(uneven("straight_skirt", "39", "38")))
    out = {(place.piece, name): place.out for place in moved.places for name in place.names}
    eighth = 25.4 / 8
    assert out["left_back", "hip_side"] == out["front", "hip_side"] == pytest.approx(eighth, abs=2e-3)
    assert out["right_back", "hip_side"] == out["front", "other_hip_side"] == pytest.approx(-eighth, abs=2e-3)
    assert moved.changed == ["front", "left_back", "right_back"] and moved.laid["front"].words == "centre and waist"
    assert {one.name: one.by for one in moved.measures} == pytest.approx({"left hip": 12.7, "right hip": -12.7}, abs=1e-3)
    assert all(None not in (seam.before, seam.after) for seam in moved.seams)
