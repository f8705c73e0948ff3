"""How long an editor waits: for diagnostics after a key, for what is told of a word, for what can be written next.

Run it as a script: `python tests/bench/bench_editing.py`.  In every shipped style a letter is typed into names here and there: the
text is read again and its mistakes told, then a word is pointed at and completion asked, first just after the key and then once
more.  Printed are the longest of each, in milliseconds of the processor.  Targets: 100 for the key, 50 for the others.
"""

import random
from time import process_time

import tapeline
from tapeline.editing.completing import suggestions_at
from tapeline.editing.diagnosing import told_of
from tapeline.editing.hovering import hover_at

KEYS, WORDS = 3, 8


def ms(function, *given):
    """(what a function gives, the milliseconds it took)."""
    began = process_time()
    answer = function(*given)
    return answer, 1000 * (process_time() - began)


def told(session: tapeline.Session, source: tapeline.Source):
    reading = session.read(source)
    told_of(reading)
    return reading


def main() -> None:
    texts = tapeline.standard_texts()
    session = tapeline.Session(tapeline.MemoryWorld(texts))
    dice = random.Random(1)
    print(f"{'style':<24} key    word just after    word    offers just after    offers   (ms, the longest of several)")
    worst = [0.0] * 5
    for path, text in texts.items():
        if path.count("/") > 1 or not path.startswith("styles/") or not path.endswith(".style"):
            continue
        reading = told(session, tapeline.Source(path, text))
        own = [use.span.start for use in reading.uses if use.span.source == reading.source]
        longest = [0.0] * 5
        for _ in range(KEYS):
            at = dice.choice(own)
            changed, key = ms(told, session, tapeline.Source(path, text[:at] + "x" + text[at:]))
            figures = [key, ms(hover_at, changed, changed.source, at)[1], 0.0, ms(suggestions_at, changed, changed.source, at)[1], 0.0]
            for place in dice.sample(own, min(WORDS, len(own))):
                figures[2] = max(figures[2], ms(hover_at, reading, reading.source, place)[1])
                figures[4] = max(figures[4], ms(suggestions_at, reading, reading.source, place)[1])
            longest = list(map(max, longest, figures))
        worst = list(map(max, worst, longest))
        print(f"{path[7:-6]:<24}" + "".join(f"{figure:>10.1f}" for figure in longest))
    print(f"{'all':<24}" + "".join(f"{figure:>10.1f}" for figure in worst))


if __name__ == "__main__":
    main()
