"""A witness of the girth ledger: every shipped style sewn up by other means, for women of two surveys.

Nothing here asks the program how wide a piece is.  A level that runs straight across is cut with shapely out of the cloth, of
which darts and pleats have been cut away; one along an edge is walked from foot to foot of the folded edge, each strip
carried to the one before it by a rigid motion that is found here from the two feet and the point.  A level that a piece has
from another is followed by probes: points set close together along it on the piece where it was drawn, which the
changes carry as they carry any named point.  Laid one after the other they are the level on the sewn piece; to the ends of the
cloth it is drawn on straight.  The sum over all pieces, as often as they are cut, must be the ledger's.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import numpy as np
import pytest
import shapely
from population import SURVEYS, Bodies

from tapeline.drafting.run import draft
from tapeline.geometry.segments import Arc
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = {path.stem: path for path in sorted(standard_folder("styles").glob("*.style"))}
WOMEN = {"ANSUR II": 150, "bdims": 40}  # one in so many; all with EVERY_WOMAN=1
STEP = 2.0  # mm from probe to probe
FAR = 8.0  # mm by which truing may have moved an edge
LIBRARIES = "".join(path.read_text(encoding="utf-8") for path in sorted(standard_folder("stdlib").glob("*.style")))
EXACT = 0.02  # mm, for what is straight or an edge; what dense samples lose of a curve
CARRIED = 0.5  # mm a piece, for what is followed by probes: openings between two of them count as straight across


def drafts_of(text: str, path: Path, measures: dict[str, np.ndarray]):
    style, said = read(Source(path.name, text), FolderWorld(path.parent))
    assert style is not None, said
    return draft(style, {name: measures[name] for name in style.plan().measures})


def dense(path, body: int) -> np.ndarray:
    """(K, 2), points along one body's path."""
    steps, fine = np.linspace(0.0, 1.0, 65), np.linspace(0.0, 1.0, 257)  # hems of circles are long arcs
    points = np.concatenate([segment.sample(fine if isinstance(segment, Arc) else steps)[body] for segment in path.segments])
    return points[np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > 1e-9])]


def over_mouths(piece, body: int) -> shapely.Polygon:
    """The paper of a piece, straight across the mouths of its darts."""
    return shapely.polygons(np.concatenate([dense(strip, body) for edge in piece.edges for strip in edge.strips]))


def taken_out(piece, body: int) -> shapely.Geometry:
    """All that is no cloth once the piece is sewn: darts, pleats, and darts within it; carried a hair beyond the edge."""
    wedges = []
    for dart in piece.darts():
        near, far = dense(dart.near_leg, body), dense(dart.far_leg, body)
        middle = (near[0] + far[0]) / 2.0
        out = middle - (near[-1] + far[-1]) / 2.0
        out = out / max(np.hypot(*out), 1e-9) * 5.0
        wedges.append(shapely.polygons(np.concatenate([[near[0] + out], near, far[::-1], [far[0] + out]])))
    for dart in piece.inner:
        corners = np.stack([corner[body] for corner in dart.corners()])
        if np.isfinite(corners).all():
            wedges.append(shapely.polygons(corners))
    return shapely.union_all([shapely.make_valid(wedge) for wedge in wedges])


def straight_across(piece, level: str, body: int) -> float:
    """How much cloth lies on the level; read a little above and below, since on it an edge may lie along it."""
    y, cloth = float(piece.levels[level][body]), over_mouths(piece, body).buffer(0.0)
    cloth = shapely.difference(cloth, taken_out(piece, body))
    low, _, high, _ = cloth.bounds
    lines = shapely.linestrings([[(low - 1.0, at), (high + 1.0, at)] for at in (y - 1e-4, y + 1e-4)])
    return float(shapely.length(shapely.intersection(lines, cloth)).max())


def along_edge(piece, edge: str, body: int) -> float:
    """From end to end of an edge whose darts have been folded one after the other by rigid motions."""
    drawn, turn, shift = piece.edge(edge), np.eye(2), np.zeros(2)
    walked = [dense(drawn.strips[0], body)]
    for dart, strip in zip(drawn.darts, drawn.strips[1:], strict=True):
        near, far, point = (at[body] for at in (dart.near_foot, dart.far_foot, dart.point))
        if dart.kind == "pleat":
            own_turn, own_shift = np.eye(2), near - far
        else:
            (ax, ay), (bx, by) = far - point, near - point
            angle = np.arctan2(ax * by - ay * bx, ax * bx + ay * by)
            own_turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])  # of rows
            own_shift = point - point @ own_turn
        turn, shift = own_turn @ turn, own_shift @ turn + shift
        walked.append(dense(strip, body) @ turn + shift)
    gaps = [np.hypot(*(after[0] - before[-1])) for before, after in zip(walked, walked[1:], strict=False)]
    assert all(gap < 0.01 for gap in gaps), (piece.name, edge, gaps)  # the feet lie on each other
    return float(np.hypot(*np.diff(np.concatenate(walked), axis=0).T).sum())


# ------------------------------------------------------------ followed by probes


def root_of(pattern, piece, level: str):
    """The piece or foundation on which a level was drawn."""
    while piece.told[level].startswith("as carried"):
        piece = pattern.piece(piece.told[level].removeprefix("as carried from "))
    return piece


def with_bases(text: str) -> str:
    """The text, and those of the styles that it starts from."""
    base = re.search(r"^start from (\w+)", text, re.MULTILINE)
    return text if base is None else text + with_bases(read_text(STYLES[base[1]])[0].text)


def probe_lines(text: str, piece, level: str) -> list[str] | None:
    """Rules for points along a level of a piece as drawn: straight across at a named point, or along a line that is drawn in it."""
    told = piece.told[level]
    if told.startswith("along"):
        line = told.removeprefix("along ")
        drawn = re.search(rf"^ *line +{line} +(\S+) to (\S+)$", with_bases(text) + LIBRARIES, re.MULTILINE)
        if drawn is None:
            arc = re.search(rf"^ *arc +{line} +(\S+) to ", with_bases(text) + LIBRARIES, re.MULTILINE)
            return None if arc is None else [f"along {line} from {arc[1]} by {k} / 200" for k in range(201)]
        ways = [f"{way} {{0}} / 200 * {way} from {drawn[1]} to {drawn[2]}" for way in ("across", "down")]
        return [f"{drawn[1]} {', '.join(ways)}".format(k) for k in range(201)]
    on_it = [name for name, point in piece.points.items() if np.abs(point[:, 1] - piece.levels[level]).max() < 1e-6]
    if not on_it:
        return None
    cloth = piece.stitch_outline().flatten()[..., 0] - piece.points[on_it[0]][:, :1]  # to either side of the point, of every body
    steps = np.arange(np.floor(np.nanmin(cloth) / STEP) - 1, np.ceil(np.nanmax(cloth) / STEP) + 2) * STEP
    return [f"{on_it[0]} {'left' if step < 0 else 'right'} {abs(step):g} mm" for step in steps]


def is_edge(piece, told: str) -> bool:
    """Whether a level is told to run along edges of the outline."""
    return told.startswith("along") and {edge.name for edge in piece.edges} >= set(told.removeprefix("along ").split(" and "))


def with_probes(text: str, piece: str, called: str, lines: list[str]) -> str:
    """The text with these points said in a piece, below its first line, which runs on while a bracket is open; or in a change of
    the piece, where the style has it from the one that it starts from."""
    points = "".join(f"    point {called}{k} {line}\n" for k, line in enumerate(lines))
    heads = list(re.finditer(rf"^(piece|foundation|change piece) {piece}\b.*\n", text, re.MULTILINE))
    if not heads and re.search(r"^start from ", text, re.MULTILINE):
        return f"{text}\nchange piece {piece}\n{points}"
    (head,) = heads
    end = head.end()
    while text[head.start() : end].count("(") > text[head.start() : end].count(")"):
        end = text.index("\n", end) + 1
    return text[:end] + points + text[end:]


def carried_edge(text: str, pattern, piece, root, edge: str, body: int) -> float:
    """Along an edge that a piece still has, opened or not; where cloth was added beyond its ends, what it was."""
    names = [piece.name]
    while pattern.piece(names[-1]).source not in ("", root.name):
        names.append(pattern.piece(names[-1]).source)
    named = "|".join(names)
    said = re.findall(rf"^ *(?:change )?(?:piece|foundation) (?:{named})\b.*\n((?: .*\n|\n)*)", with_bases(text), re.MULTILINE)
    for recipe in re.findall(rf"^ *(?:piece|foundation) (?:{named})\b.* as (\w+) ?\(", with_bases(text), re.MULTILINE):
        said += re.findall(rf"^recipe {recipe}\b.*\n((?: .*\n|\n)*)", with_bases(text) + LIBRARIES, re.MULTILINE)
    added = any(re.search(r"^ *extend ", below, re.MULTILINE) for below in said)
    halves = [own.name for own in piece.edges if own.name in (edge, f"other_{edge}")]  # two, where the piece was opened out
    return sum(
        along_edge(root, edge, body) if added else along_edge(piece, own, body) - laid_in_pleats(piece, own, body) for own in halves
    )


def laid_in_pleats(piece, edge: str, body: int) -> float:
    """What the pleats of other edges, whose folds run to this one, take out of it."""
    run, total = shapely.linestrings(np.concatenate([dense(strip, body) for strip in piece.edge(edge).strips])), 0.0
    for dart in piece.darts():
        ends = np.stack([leg.end()[body] for leg in (dart.near_leg, dart.far_leg)])
        if dart.kind == "pleat" and shapely.distance(run, shapely.points(ends)).max() < 0.01:
            total += float(np.hypot(*(ends[1] - ends[0])))
    return total


def carried_width(piece, root, level: str, body: int, called: str, count: int) -> float:
    """The length of a piece's level through the probes that have come to lie on it."""
    paper, lost = over_mouths(piece, body).buffer(1e-6), taken_out(piece, body)
    cloth_drawn = shapely.difference(over_mouths(root, body).buffer(1e-4), taken_out(root, body).buffer(-1e-6))
    drawn = np.array([root.points[f"{called}{k}"][body] for k in range(count)])
    kept = shapely.contains_xy(cloth_drawn, drawn) & np.isfinite(drawn).all(axis=1)
    nowhere = np.full(2, np.nan)
    halves = []
    for half in ("", "other_"):  # two, where the piece was opened out
        names = [f"{half}{called}{k}" for k in range(count)]
        here = np.array([piece.points[name][body] if name in piece.points else nowhere for name in names])
        on = kept & np.isfinite(here).all(axis=1)
        if on.any() and f"other_{called}0" not in piece.points and np.allclose(here[on], drawn[on], atol=1e-6):
            # it lies as drawn: what reaches beyond is cloth that was added
            paper = shapely.intersection(paper, over_mouths(root, body).buffer(1e-4))
        on[on] = shapely.contains_xy(paper, here[on])
        halves.append([here[k] if on[k] else None for k in np.flatnonzero(kept)])
    runs: list[list[np.ndarray]] = [[]]
    for place in [*halves[1][::-1], *halves[0]]:
        if place is not None:
            runs[-1].append(place)
        elif runs[-1]:
            runs.append([])
    runs = [run for run in runs if run]
    # A drawn line may end within the cloth; else the last probe of all has the edge beyond it.
    within = kept[[0, -1]] & (shapely.distance(cloth_drawn.boundary, shapely.points(drawn[[0, -1]])) > 1.0)
    opened = any(place is not None for place in halves[1])
    ends = [0.0 if inside and not opened else FAR for inside in within]
    if runs and len(drawn[kept]) > 1:
        outer = drawn[kept][:2], drawn[kept][:-3:-1]  # where the piece was opened out, both its ends were the last one
        for k, (run, own) in enumerate(zip((runs[0][:2], runs[-1][:-3:-1]), (outer[1], outer[1]) if opened else outer, strict=True)):
            ends[k] = min(ends[k], beyond_the_last(run, own, paper, cloth_drawn))
    reaches = [[STEP + 0.01, STEP + 0.01] for _ in runs]
    if runs:
        reaches[0][0], reaches[-1][1] = ends
    return sum(laid(run, reach, paper, lost) for run, reach in zip(runs, reaches, strict=True))


def beyond_the_last(run: list[np.ndarray], drawn: np.ndarray, paper, cloth_drawn) -> float:
    """How far a level may go on from the outermost of its probes, which comes first in `run` and `drawn`.

    To the edge, wherever truing has moved it; but where the paper goes on for more than that, cloth was added, and the
    level ends where it ended on the cloth as drawn.
    """
    if len(run) < 2:
        return 0.0
    if np.hypot(*(on_to_the_edge(run[1], run[0], 2.0 * FAR, paper) - run[0])) < FAR:
        return FAR
    return float(np.hypot(*(on_to_the_edge(drawn[1], drawn[0], FAR, cloth_drawn) - drawn[0])))


def laid(run: list[np.ndarray], reach: list[float], paper, lost) -> float:
    """A row of probes as one line, drawn on so far at most to the edge of the cloth, less what darts take out of it."""
    if len(run) < 2:
        return 0.0
    line = np.array([on_to_the_edge(run[1], run[0], reach[0], paper), *run[1:-1], on_to_the_edge(run[-2], run[-1], reach[1], paper)])
    taken = shapely.length(shapely.intersection(shapely.linestrings(line), lost))
    return float(shapely.length(shapely.linestrings(line)) - taken + beside(line))


def beside(line: np.ndarray) -> float:
    """What the straight ways over openings leave out: there the level goes on to the slash, over it, and on from there.

    An opening adds cloth, so the way over it is longer than a step; a shorter one, as where two halves meet, is no opening.
    """
    ways = np.diff(line, axis=0)
    lengths, more = np.hypot(*ways.T), 0.0
    step = float(np.median(lengths))
    for k in np.flatnonzero(lengths[2:-2] > step + 0.01) + 2:
        over = np.hypot(*(ways[k] - ways[k - 1])), np.hypot(*(ways[k] - ways[k + 1]))  # at either end of the step
        more += step + float(np.mean(over)) - lengths[k]
    return more


def on_to_the_edge(before: np.ndarray, last: np.ndarray, reach: float, paper) -> np.ndarray:
    """Where the way from one probe through the next leaves the paper, if that is within reach."""
    way = (last - before) / max(np.hypot(*(last - before)), 1e-9)
    further = shapely.intersection(shapely.linestrings([last, last + way * reach]), paper)
    return last + way * float(shapely.length(further))


# ------------------------------------------------------------ the ledger against it


def some_women() -> Bodies:
    """Some women of each survey, in one row: what was measured, or is estimated, of all of them."""
    chosen = [SURVEYS[survey]().every(1 if os.environ.get("EVERY_WOMAN") else step).values for survey, step in WOMEN.items()]
    shared = [measure for measure in chosen[0] if all(measure in values for values in chosen)]
    return Bodies(" and ".join(WOMEN), {measure: np.concatenate([values[measure] for values in chosen]) for measure in shared})


def witnessed(name: str, bodies: Bodies):
    """(level, ledger's girths, witness's girths, slack) of a style, for some bodies; carried levels named apart."""
    path = STYLES[name]
    text = read_text(path)[0].text
    for drafted in drafts_of(text, path, bodies.values):
        sound = np.flatnonzero(~drafted.failed)
        pattern = drafted.pattern
        probed = follow(text, path, bodies.values, drafted)
        for row in drafted.ledgers.girths:
            widths, slack = np.zeros(len(sound)), 0.0
            for piece_name, times, _ in row.pieces:
                piece = pattern.piece(piece_name)
                told = piece.told[row.level]
                root = root_of(pattern, piece, row.level)
                if is_carried_edge(piece, root, row.level):
                    edge = root.told[row.level].removeprefix("along ")
                    widths += [times * carried_edge(text, pattern, piece, root, edge, body) for body in sound]
                    slack += times * EXACT
                elif is_followed(piece, root, row.level):
                    own, *probes = probed[root.name, row.level]
                    widths += [
                        times * carried_width(own.piece(piece_name), own.piece(root.name), row.level, body, *probes) for body in sound
                    ]
                    slack += times * CARRIED
                elif told.startswith("along"):
                    edges = told.removeprefix("along ").split(" and ")
                    widths += [times * sum(along_edge(piece, edge, body) for edge in edges) for body in sound]
                    slack += times * EXACT
                else:
                    widths += [times * straight_across(piece, row.level, body) for body in sound]
                    slack += times * EXACT
            yield row.level, row.sewn[sound], widths, slack


def is_carried_edge(piece, root, level: str) -> bool:
    return root is not piece and is_edge(root, root.told[level])


def is_followed(piece, root, level: str) -> bool:
    told = piece.told[level]
    return not is_carried_edge(piece, root, level) and (root is not piece or (told.startswith("along") and not is_edge(piece, told)))


def follow(text, path, values, drafted):
    """The same women drafted once more, with probes along every level that is to be followed: (root, level) -> the pattern, what
    its probes are called, how many there are."""
    pattern, found = drafted.pattern, {}
    for row in drafted.ledgers.girths:
        for name, _, _ in row.pieces:
            root = root_of(pattern, pattern.piece(name), row.level)
            if is_followed(pattern.piece(name), root, row.level):
                found[root.name, row.level] = root
    probed, said = {}, text
    for number, ((name, level), root) in enumerate(found.items()):
        lines = probe_lines(text, root, level)
        assert lines is not None, f"no point of {name} lies on {level}"
        probed[name, level] = f"probe{number}_", len(lines)
        said = with_probes(said, name, f"probe{number}_", lines)
    if not probed:
        return {}
    (own,) = drafts_of(said, path, {measure: of_all[drafted.index] for measure, of_all in values.items()})
    return {key: (own.pattern, *probes) for key, probes in probed.items()}


@pytest.mark.parametrize("name", STYLES)
def test_the_ledger_is_what_the_sewn_garment_measures(name):
    agree(name, some_women())


def agree(name: str, bodies: Bodies) -> None:
    for level, told, sewn, slack in witnessed(name, bodies):
        off = np.abs(told - sewn)
        worst = int(np.argmax(off))
        assert off[worst] <= slack, f"{level}: the ledger says {told[worst]:.2f} mm, sewn up it is {sewn[worst]:.2f} mm"


def test_a_level_ends_where_cloth_was_added_to_it():
    """Woman 1000 of ANSUR II: her level goes through the bust point itself, so that no probe of hers lies on the centre, beyond
    which the wrap has been added; and a front of paper, of which 100 mm go on beyond an edge, or 3 mm that truing has added."""
    agree("wrap_bodice", SURVEYS["ANSUR II"]().those(slice(1000, 1001)))
    drawn, cloth = np.array([[0.5, 0.0], [2.5, 0.0]]), shapely.box(0.0, -50.0, 200.0, 50.0)
    assert beyond_the_last(list(drawn), drawn, shapely.box(-100.0, -50.0, 200.0, 50.0), cloth) == pytest.approx(0.5)
    assert beyond_the_last(list(drawn), drawn, shapely.box(-3.0, -50.0, 200.0, 50.0), cloth) == FAR


def test_a_bust_point_at_the_underarm_leaves_the_level_on_the_cloth():
    """Woman 1282 of ANSUR II: her bust point lies above the underarm, at whose level the armhole dips under its own end."""
    agree("close_bodice", SURVEYS["ANSUR II"]().those(slice(1282, 1283)))


def test_a_false_girth_would_be_seen():
    """The judge itself: a girth that counts a dart as cloth, one that forgets a piece, and one read at another level are all far off."""
    path, bodies = STYLES["straight_skirt"], SURVEYS["bdims"]().every(WOMEN["bdims"])
    rows = {level: (told, sewn, slack) for level, told, sewn, slack in witnessed("straight_skirt", bodies)}
    (drafted,) = drafts_of(read_text(path)[0].text, path, bodies.values)
    front = drafted.pattern.piece("front")
    told, sewn, slack = rows["waist"]
    opened = np.array([float(front.edge("waist").open_length()[body]) for body in range(len(sewn))])
    assert (np.abs(told + 2.0 * (opened - front.edge("waist").closed_length()) - sewn) > slack).all()
    assert (np.abs(told - 2.0 * front.widths["waist"] - sewn) > slack).all()
    assert (np.abs(rows["hip"][0] - sewn) > slack).all()


def test_only_an_opening_adds_to_the_way_over_it():
    """The judge itself: probes 2 mm apart, parted by 5 mm of cloth across them; and two halves that meet, at a probe or by one."""
    row = np.stack([np.arange(12) * 2.0, np.zeros(12)], axis=1)
    parted = np.concatenate([row[:6], row[6:] + [0.0, 5.0]])
    assert beside(parted) == pytest.approx(2.0 + 5.0 - np.hypot(2.0, 5.0))
    for near in (0.0, 0.7):
        assert beside(np.concatenate([row[:6], row[5:] + [near, 0.0]])) == 0.0
