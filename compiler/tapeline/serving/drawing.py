"""The drawing half of the live page: methods of our own, over one text's bench (`benches.py`).

Each takes the text's `uri` and what was slid, `measures` and `choices`: tables of names and figures (mm, radians, plain numbers, 1 and 0).

    tapeline/sheet         what can be slid, and which bodies, houses and size tables are at hand
    tapeline/figure        a figure as it was typed, read by the kind of what is slid
    tapeline/draft         the pieces drawn; those that the client has already, by their keys, without their drawing
    tapeline/ahead         the `values` of a slider drafted before the hand is there (`live/ahead.py`)
    tapeline/ledgers       girths, seams, corners and allowances as tables of words
    tapeline/links         which lines rest on which rule
    tapeline/why           the rules behind a place, in words
    tapeline/construction  a piece as it is constructed, rule by rule
    tapeline/compare       what has moved from one setting to another
    tapeline/sizes         a size table as settings
    tapeline/card          what was slid as a card, and as options of the command line
    tapeline/papers        papers of what was slid, written into a folder beside the style

A draft that fails is an answer, with what is wrong; whatever else cannot be done is an error in a sentence.
"""

from __future__ import annotations

import math
import shlex
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path, PurePath
from typing import Any

from lsprotocol import types
from pygls.exceptions import JsonRpcException

from ..bodies.card import write_card
from ..live.construction import DrawnPart, stages_of
from ..live.draft import LiveDrawing
from ..live.sliders import Slider, differing
from ..making.columns import Table
from ..making.comparing import compared_drafts
from ..making.ledger_tables import HouseLengths, ledger_tables
from ..making.moved_words import as_data as moved_data
from ..making.moved_words import in_short, place_words, told_places, ways
from ..making.writing import write_all
from ..orders.papers_there import papers_of_others
from ..paper.drawing.model import Stroke
from ..paper.drawing.pieces import draw_piece
from ..paper.kinds import KINDS
from ..paper.proof.rules import RuleTexts, file_name, strokes_of
from ..paper.sheets.svg import write_leaf
from ..source.diagnostics import ERROR, Diagnostic, as_data, render
from ..source.quantity import read_length, read_number
from ..source.text import Span
from .at_hand import at_hand
from .benches import Bench, Benches, NotDrawn
from .documents import Documents
from .params import GivenParams
from .protocol import DeskServer
from .worker import AT_ONCE, LATER, Worker


def add_drawing(server: DeskServer, documents: Documents, worker: Worker) -> None:
    benches = Benches(documents, server.body)

    def add(method: str, answer: Callable[[Bench, GivenParams], object], urgency: int | None = None) -> None:
        @server.feature(method)
        async def feature(params: Any) -> object:
            asked = GivenParams(method, params)
            uri = asked.text("uri")

            def worked_out() -> object:
                try:
                    return answer(benches.latest(uri), asked)
                except NotDrawn as problem:
                    raise _refusal(str(problem)) from None

            more = {} if urgency is None else {"urgency": urgency}
            return await worker.run((method, uri), worked_out, of=uri, **more)

    @server.feature("tapeline/draft")
    async def draft(params: Any) -> object:
        asked = GivenParams("tapeline/draft", params)
        uri = asked.text("uri")
        return await worker.run(("tapeline/draft", uri), lambda: drafted(benches, uri, asked), of=uri, urgency=AT_ONCE)

    add("tapeline/sheet", lambda bench, asked: _sheet(bench, documents, asked))
    add("tapeline/figure", _figure, AT_ONCE)
    add("tapeline/ahead", _ahead, LATER)
    add("tapeline/ledgers", _ledgers)
    add("tapeline/links", lambda bench, asked: _links(bench, documents, asked))
    add("tapeline/why", _why)
    add("tapeline/construction", _construction)
    add("tapeline/compare", _compare)
    add("tapeline/sizes", lambda bench, asked: _sizes(bench, documents, asked))
    add("tapeline/card", _card)
    add("tapeline/papers", lambda bench, asked: _papers(bench, documents, asked))


def _refusal(sentence: str) -> JsonRpcException:
    return JsonRpcException(sentence, types.LSPErrorCodes.RequestFailed)


def _refused(said: list[Diagnostic]) -> NotDrawn:
    """What is wrong first of all: what was set out of its range, before what comes of that."""
    first = min(said, key=lambda one: (one.severity != ERROR, one.code != "D402"))
    return NotDrawn(" ".join(filter(None, (f"{first.title}: {first.found}.", first.suggestion))))


def _drawn(bench: Bench, asked: GivenParams) -> LiveDrawing:
    """The draft of what was slid.  `NotDrawn` where it failed."""
    drawing = bench.at(asked.figures("measures"), asked.figures("choices"), asked.flag("opened"))
    if drawing.failed:
        raise _refused(list(drawing.diagnostics))
    return drawing


# ------------------------------------------------------------ what can be slid


def _sheet(bench: Bench, documents: Documents, asked: GivenParams) -> dict[str, object]:
    document = documents.document(asked.text("uri"))
    return {
        "unit": bench.unit,
        "style": bench.reading.sound.plan().title,
        "body": bench.card.name,
        "house": bench.house.name,
        "measures": [_slider(bench, slider) for slider in bench.measures],
        "choices": [_slider(bench, slider) for slider in bench.choices],
        "said": [_said(one) for one in bench.said],
        "kinds": [{"name": kind.name, "words": kind.words} for kind in KINDS.values()],
        **at_hand(documents.world, document.path),
    }


def _slider(bench: Bench, slider: Slider) -> dict[str, object]:
    show = {"low": slider.low, "high": slider.high, "value": slider.value}
    shown = {f"{name}_shown": slider.shown(value, bench.house, bench.unit) for name, value in show.items()}
    return {**slider._asdict(), **shown}


def _figure(bench: Bench, asked: GivenParams) -> dict[str, object]:
    """A length without a unit is in that of the page; a comma may stand for the point."""
    slider, text = bench.slider(asked.text("name")), asked.text("text").strip()[:40].replace(",", ".")
    value: float
    try:
        if slider.kind == "length":
            length = read_length(text) or read_length(f"{text} {bench.unit}")
            if length is not None and not length[1]:
                length = read_length(f"{text} {bench.unit}")
            if length is None:
                raise ValueError(text)
            value = float(length[0])
        elif slider.kind == "angle":
            value = math.radians(float(read_number(text.removesuffix("deg"))))
        else:
            value = float(read_number(text.removesuffix("%"))) / (100.0 if text.endswith("%") else 1.0)
    except (ValueError, ZeroDivisionError):
        example = slider.shown(slider.value, bench.house, bench.unit)
        raise NotDrawn(f'"{text}" cannot be read as {slider.name}; write it like {example}.') from None
    bounds = [slider.shown(bound, bench.house, bench.unit) for bound in (slider.low, slider.high)]
    words = "" if slider.low <= value <= slider.high else f"{slider.name} lies between {bounds[0]} and {bounds[1]}."
    return {"value": min(max(value, slider.low), slider.high), "shown": slider.shown(value, bench.house, bench.unit), "words": words}


# ------------------------------------------------------------ the drawing


def drafted(benches: Benches, uri: str, asked: GivenParams) -> dict[str, object]:
    answer: dict[str, object] = {"version": benches.documents.version(uri), "failed": True, "message": "", "pieces": [], "cautions": []}
    resting = asked.flag("resting")
    try:
        bench = benches.of(uri)
        draft = bench.at if resting else bench.moving
        drawing = draft(asked.figures("measures"), asked.figures("choices"), asked.flag("opened"))
    except NotDrawn as problem:
        return {**answer, "message": str(problem)}
    values = asked.figures("measures") | asked.figures("choices")
    answer["shown"] = {name: bench.slider(name).shown(value, bench.house, bench.unit) for name, value in values.items()}
    if drawing.failed:
        said = list(drawing.diagnostics)
        return {**answer, "message": str(_refused(said)), "cautions": [_said(one) for one in said]}
    pieces = (drawing.rested() if resting and isinstance(drawing, LiveDrawing) else drawing).pieces
    bench.lay(pieces, resting)
    have = asked.table("have")
    titles = {piece.name: piece.title for piece in bench.live.style.plan().pieces}
    drawn = [
        {
            "name": piece.name,
            "title": titles.get(piece.name) or piece.name.replace("_", " "),
            "key": piece.key,
            "x": bench.places[piece.name][0],
            "y": bench.places[piece.name][1],
            "box": list(piece.box),
            "svg": None if have.get(piece.name) == piece.key else piece.svg,
        }
        for piece in pieces
    ]
    cautions = [_said(one) for one in (*bench.reading.diagnostics, *bench.said, *drawing.diagnostics)] if resting else None
    return {**answer, "failed": False, "pieces": drawn, "width": bench.size[0], "height": bench.size[1], "cautions": cautions}


def _ahead(bench: Bench, asked: GivenParams) -> dict[str, object]:
    return {
        "drafted": bench.look_ahead(asked.figures("measures"), asked.figures("choices"), asked.text("name"), asked.numbers("values"))
    }


def _said(diagnostic: Diagnostic) -> dict[str, object]:
    return {**as_data(diagnostic), "text": render(diagnostic), "at": _at(diagnostic.span)}


def _at(span: Span | None) -> dict[str, object] | None:
    return None if span is None else {"file": span.source.name.rsplit("/", 1)[-1], "line": span.line}


def _ledgers(bench: Bench, asked: GivenParams) -> dict[str, object]:
    draft = _drawn(bench, asked).draft
    tables = ledger_tables(draft.ledgers, draft.finished, HouseLengths(bench.house, bench.unit), draft.unfitted)
    return {"tables": [_table(table) for table in tables if table.rows]}


def _table(table: Table) -> dict[str, object]:
    told = table.telling()
    rows = [[cell.replace("\n", "") for cell in row] for row in told.rows]
    return {"title": told.title, "heads": told.heads, "figures": told.figures, "rows": rows}


# ------------------------------------------------------------ rules and lines


def _links(bench: Bench, documents: Documents, asked: GivenParams) -> dict[str, object]:
    """Rule, as "file:line" -> the lines of the drawing that rest on it, as {piece, line, name}; `own` are those that it drew itself;
    `files` the address of each file."""
    work = _drawn(bench, asked).work
    drawn = [draw_piece(piece, work.index, work.heading, work.opened) for piece in work.shown]
    texts = RuleTexts(work, drawn)
    own: dict[str, list[dict[str, str]]] = {}
    held: dict[str, list[dict[str, str]]] = {}
    for piece in drawn:
        for stroke, rules in zip(strokes_of(piece), texts.rests()[piece.name], strict=True):
            line = {"piece": piece.name, "line": stroke.line, "name": stroke.name}
            if stroke.rule:
                own.setdefault(stroke.rule, []).append(line)
            for source, number in rules:
                held.setdefault(f"{file_name(source)}:{number}", []).append(line)
    files = {file_name(source): documents.uri_of(bench.reading, source) for source in texts.sources}
    return {"own": own, "held": held, "files": files}


def _why(bench: Bench, asked: GivenParams) -> dict[str, object]:
    answer, wrong = _drawn(bench, asked).draft.reasons().why(asked.text("place"))
    if answer is None:
        raise _refused(wrong)
    return {"lines": answer.lines(None), "rules": answer.as_data()["rules"]}


def _construction(bench: Bench, asked: GivenParams) -> dict[str, object]:
    draft = _drawn(bench, asked).draft
    names = [piece.name for piece in draft.draft.plan.pieces]
    name = asked.text("piece", names[0] if names else "")
    if name not in names:
        raise NotDrawn(f"The style has no piece {name}.")
    stages = [
        {
            "rule": _at(stage.rule),
            "words": stage.words,
            "sums": list(stage.sums),
            "clears": stage.clears,
            "svg": "\n".join(_part(part) for part in stage.parts),
            "names": [part.name for part in stage.parts if part.name],
            "points": [[part.name, *part.commands[0][1:]] for part in stage.parts if part.sort == "point"],
        }
        for stage in stages_of(draft, name)
    ]
    return {"piece": name, "pieces": names, "stages": stages}


def _part(part: DrawnPart) -> str:
    line = {"line": "construction", "edge": "stitch", "outline": "stitch"}.get(part.sort)
    return "" if line is None else write_leaf(Stroke(part.commands, line, part.name))


# ------------------------------------------------------------ beside each other


def _compare(bench: Bench, asked: GivenParams) -> dict[str, object]:
    """What has moved: each place by where it was (in its piece as it was), with its words; `shift` lays what was held on what is now."""
    held, now = (_drawn(bench, asked.part(name)).draft for name in ("held", "now"))
    done = compared_drafts(held, now, ("held", "now"))
    places = [
        {
            "piece": place.piece,
            "name": place_words(place),
            "words": ways(done, place.out, place.down),
            "was": list(place.was),
            "by": [-place.out if place.side_is_left else place.out, place.down],
        }
        for piece in done.moved.laid
        for place in told_places(done, piece)[0]
    ]
    shift = {piece: [-laid.by[0], -laid.by[1]] for piece, laid in done.moved.laid.items()}
    return {"places": places, "shift": shift, "words": in_short(done), "moved": moved_data(done)}


def _sizes(bench: Bench, documents: Documents, asked: GivenParams) -> dict[str, object]:
    path = documents.path(asked.text("table")) if asked.text("table").startswith("file:") else None
    if path is None:
        raise NotDrawn("A size table is named by its address.")
    sizes, said = bench.reading.sizes(PurePath(path), accept=True, lender=bench.card)
    if sizes is None:
        raise _refused(said)
    needed = bench.reading.sound.needed
    rows = [{"name": card.name, "measures": {name: card.values[name] for name in needed}} for card in sizes.cards]
    return {"sizes": rows, "notes": sizes.notes(*sizes.names[:1]), "said": [_said(one) for one in said]}


# ------------------------------------------------------------ kept


def _card(bench: Bench, asked: GivenParams) -> dict[str, object]:
    """What was slid, other than the card and the style have it: the card as text with the measures, and the options with the choices."""
    measures, choices = differing(bench.measures, asked.figures("measures")), differing(bench.choices, asked.figures("choices"))
    shown = {name: bench.slider(name).shown(value, bench.house.in_english(), bench.unit) for name, value in measures.items()}
    card = replace(
        bench.card,
        values=bench.card.values | measures,
        written=dict(bench.card.written) | shown,
        measurings=(),
    )
    settings = bench.chosen | choices
    options = [
        f"--set {name}={shlex.quote(bench.slider(name).shown(value, bench.house.in_english(), bench.unit))}"
        for name, value in settings.items()
    ]
    return {"card": write_card(card), "options": " ".join(options), "differs": sorted(shown) + sorted(choices)}


def _papers(bench: Bench, documents: Documents, asked: GivenParams) -> dict[str, object]:
    kinds = asked.words("kinds")
    strange = [kind for kind in kinds if kind not in KINDS]
    if strange or not kinds:
        raise NotDrawn(f"There are no such papers: {', '.join(strange) or 'none were asked for'}.")
    folder = _folder(bench, documents, asked)
    drawing = _drawn(bench, asked)
    draft = replace(drawing.draft, date=datetime.now().replace(second=0, microsecond=0))
    papers = draft.papers(kinds)
    others = papers_of_others(folder, papers)
    if others:
        raise _refused(others)
    paths, wrong = write_all(folder, papers, overwrite=False)
    if wrong:
        raise _refused(wrong)
    return {"folder": folder.as_posix(), "written": [path.name for path in paths]}


def _folder(bench: Bench, documents: Documents, asked: GivenParams) -> Path:
    """Where papers of a text are written: beside it, never where the program itself lies."""
    document = documents.document(asked.text("uri"))
    home = documents.folder or (None if document.path is None else document.path.parent)
    own = (documents.behind.standard, documents.behind.styles)
    if home is None or any(home.is_relative_to(place) for place in own):
        raise NotDrawn("Save the style in a folder of your own first: its papers are written beside it.")
    return home / f"{bench.reading.sound.plan().name}-papers"
