"""How quick the author's desk answers, in process, for every shipped style, each figure beside a floor.

Run it as a script: `python tests/bench/bench_desk.py [STYLE...]`.  Figures are milliseconds that this process had of the processor, since
on a machine with other work the clock tells little.

slide       one measure or choice moved a step, to the text of the drawing, once its slider was taken hold of, so that the places about it are
            drafted: the 95th percentile over all of them.  Its floor is the lines of all pieces, known already, written as text.
ahead       drafting the 33 places about a slider's in one go, as it is taken hold of: the greatest of all sliders
unforeseen  a step that nobody had drafted ahead, with its parts, drafting and drawing
rest        the lettering laid anew when the hand rests
keystroke   one figure of the text written otherwise, to all that is said of it; its floor is the same text parsed
hover       what is told of names spread over the text, and completion at the ends of lines; the 95th percentile
start       a fresh process from its start to the text of the first drawing, its second, as what a first one keeps is there; its floor is one that imports numpy, shapely and lark
3,000 lines a text of so many lines changed in one figure; its floor is parsing it

Targets: slide 50, keystroke 100, hover and completion 50, start 1,500.
"""

import gc
import re
import subprocess
import sys
from collections.abc import Callable
from resource import RUSAGE_CHILDREN, getrusage
from time import process_time

import numpy as np

import tapeline
from tapeline.editing.completing import suggestions_at
from tapeline.editing.hovering import hover_at
from tapeline.live.draft import LiveDraft
from tapeline.live.drawing import written
from tapeline.paper.drawing.pieces import piece_lines
from tapeline.paper.house.house import USUAL
from tapeline.syntax.parser import parse

TEXTS = tapeline.standard_texts()
CHOICE = re.compile(r"^(choose \w+ +)([\d.]+)(?= +(?:cm|in|mm|deg)\b)", re.MULTILINE)
STEP = {"length": 2.0, "angle": 0.01, "number": 0.01}  # mm, radians
TIMES = 5
LINES = 3000


def timed(work: Callable[[], object]) -> float:
    began = process_time()
    work()
    return 1000.0 * (process_time() - began)


def late(times: list[float]) -> float:
    return float(np.percentile(times, 95)) if times else float("nan")


def steps(live: LiveDraft) -> list[tuple[dict[str, float], dict[str, float]]]:
    """A setting for each slider, moved a step."""
    run = live.at({}, {}).draft.draft.run
    settings: list[tuple[dict[str, float], dict[str, float]]] = []
    for name in live.style.needed:
        value = live.card.values[name]
        settings.append(({name: value + (3.0 if value > 10.0 else 0.01)}, {}))
    for name, choice in run.plan.choices.items():
        if choice.kind.word in STEP:
            settings.append(({}, {name: float(run.filled[choice.slot][0]) + STEP[choice.kind.word]}))
    return settings


def foreseen(live: LiveDraft, setting: tuple[dict[str, float], dict[str, float]]) -> tuple[float, list[float]]:
    """Of a slider: drafting the places about its value, and drawing the next two of them."""
    ((name, moved),) = {**setting[0], **setting[1]}.items()
    step = 3.0 if moved > 10.0 else 0.01
    places = [moved + step * k for k in range(-17, 16)]
    taken = timed(lambda: live.ahead.fill({}, {}, name, places))
    drawn = []
    for place in places[17:19]:
        at = ({name: place}, {}) if setting[0] else ({}, {name: place})

        def draw() -> bool:
            there = live.ahead.find(*at)  # noqa: B023
            assert there is not None
            return bool(there.pieces)

        drawn.append(timed(draw))
    return taken, drawn


def slides(reading: tapeline.Reading) -> tuple[list[float], list[float], float, float, list[float], list[float]]:
    """Of each slider the drafting with finishing, and the drawing; laying the lettering anew; the floor; and what is drafted ahead:
    drafting, and drawing a place of it."""
    card, _ = reading.card(TEXTS["styles/bodies/nell.toml"])
    assert card is not None
    live = LiveDraft(reading, card, USUAL)
    first = live.at({}, {})
    assert first.rested().pieces
    work = first.work
    lines = [piece_lines(piece, work.index, work.heading) for piece in work.shown]
    floor = min(timed(lambda: [written(one.strokes) for one in lines]) for _ in range(TIMES))
    gc.collect()
    gc.freeze()
    drafting, drawing = [], []
    for setting in steps(live):
        before = live.at({}, {}).pieces  # each slider is moved from where the body and the style have it
        began = process_time()
        shown = live.at(*setting)
        between = process_time()
        drawn = shown.pieces
        ended = process_time()
        if before and drawn:  # a step that leads to no draft draws nothing
            drafting.append(1000.0 * (between - began))
            drawing.append(1000.0 * (ended - between))
    last = live.at(*steps(live)[0])
    moved = last.pieces
    rest = timed(lambda: last.rested().pieces) if moved else 0.0
    taken, ahead = [], []
    for setting in steps(live):
        filling, places = foreseen(live, setting)
        taken.append(filling)
        ahead += places
    gc.unfreeze()
    return drafting, drawing, rest, floor, taken, ahead


def changed(text: str, number: int) -> str:
    """The text with the first figure of a choice a little larger; with a comment more, where it offers no such choice."""
    if CHOICE.search(text) is None:
        return f"{text}-- {number}\n"
    return CHOICE.sub(lambda found: f"{found[1]}{float(found[2]) + number / 1000:.3f}", text, count=1)


def keystrokes(session: tapeline.Session, name: str, text: str) -> tuple[list[float], float]:
    times, floors = [], []
    for number in range(TIMES + 2):
        source = tapeline.Source(f"{name}.style", changed(text, number))
        taken = timed(lambda source=source: session.read(source).diagnostics)
        again = tapeline.Source(f"{name}.style", changed(text, number + 500))
        floor = timed(lambda again=again: parse(again))
        if number > 1:  # the first warm the session
            times.append(taken)
            floors.append(floor)
    return times, min(floors)


def answers(reading: tapeline.Reading) -> tuple[list[float], list[float]]:
    """Hover at every tenth word, completion at the end of every tenth line."""
    source = reading.source
    words = [match.start() for match in re.finditer(r"\b[a-z_]{3,}\b", source.text)][::10]
    ends = [start + len(source.line(line)) for line, start in enumerate(source.starts, 1)][3::10]
    return (
        [timed(lambda at=at: hover_at(reading, source, at)) for at in words],
        [timed(lambda at=at: suggestions_at(reading, source, at)) for at in ends],
    )


FIRST = """
import tapeline
from tapeline.live.draft import LiveDraft
from tapeline.paper.house.house import USUAL
texts = tapeline.standard_texts()
session = tapeline.Session(tapeline.MemoryWorld(texts), keep=True)
reading = session.read(tapeline.Source("{name}.style", texts["styles/{name}.style"]))
card, _ = reading.card(texts["styles/bodies/nell.toml"])
assert LiveDraft(reading, card, USUAL).at({{}}, {{}}).pieces
"""


def process(code: str) -> float:
    """What a fresh process had of the processor."""

    def had() -> float:
        usage = getrusage(RUSAGE_CHILDREN)
        return usage.ru_utime + usage.ru_stime

    began = had()
    subprocess.run([sys.executable, "-c", code], check=True)
    return 1000.0 * (had() - began)


def long_style(lines: int) -> str:
    """Rules that rest on each other and pieces drawn by them, in so many lines."""
    text = ["language 1", 'style long_style "Many pieces"', "measure waist, hip", 'choose ease 3 cm from 0 cm to 9 cm "ease"', ""]
    text.append("width_0 = (hip + ease) / 4")
    number = 0
    while len(text) < lines - 15:
        number += 1
        text += [
            f"width_{number} = greatest of (10 cm, least of (width_{number - 1} + 1 mm, (hip + ease) / 4))",
            f"drop_{number} = 20 cm + {number % 9} mm",
            f"half_{number} = half of (width_{number} - 2 cm)",
            "",
            f'piece panel_{number} "Panel {number}"',
            *("    cut 2", "    point A start", f"    point B A across half_{number}"),
            *(f"    point C A down drop_{number}", f"    point D B down drop_{number}"),
            *("    line left A to C", "    line upper A to B", "    line right B to D", "    line lower C to D"),
            *("    outline left, upper, right, lower", ""),
        ]
    return "\n".join(text) + "\n"


def main() -> None:
    session = tapeline.Session(tapeline.MemoryWorld(TEXTS))
    shipped = sorted(match[1] for path in TEXTS if (match := re.fullmatch(r"styles/(\w+)\.style", path)))
    names = sys.argv[1:] or shipped
    print("ms of the processor; 95th percentiles, / floor")
    print(
        f"{'style':<22}{'slide':>6} / floor{'ahead':>6}{'unforeseen':>11} = drafting + drawing{'rest':>7}{'keystroke':>11} / parse{'hover':>8}{'complete':>9}{'start':>7}"
    )
    for name in names:
        text = TEXTS[f"styles/{name}.style"]
        read, parsed = keystrokes(session, name, text)
        reading = session.read(tapeline.Source(f"{name}.style", text))
        drafting, drawing, rest, floor, taken, ahead = slides(reading)
        hovers, completions = answers(reading)
        both = late([one + other for one, other in zip(drafting, drawing, strict=True)])
        print(
            f"{name:<22}{late(ahead):>6.0f} / {floor:>5.1f}{max(taken):>6.0f}{both:>11.0f} = {late(drafting):>8.0f} + {late(drawing):>7.0f}{rest:>7.0f}{late(read):>11.0f} / {parsed:>5.1f}"
            f"{late(hovers):>8.1f}{late(completions):>9.1f}{min(process(FIRST.format(name=name)) for _ in range(2)):>7.0f}",
            flush=True,
        )
    print(f"start, floor: {min(process('import numpy, shapely, lark') for _ in range(3)):.0f}")
    times, parsed = keystrokes(session, "long_style", long_style(LINES))
    print(f"{LINES:,} lines, keystroke: {late(times):.0f} / {parsed:.0f}")


if __name__ == "__main__":
    main()
