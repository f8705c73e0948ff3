"""A text put into the one layout by edits: what comes of them is what `tidied` gives, and lines that are alike are not touched."""

import random

from tapeline.editing.formatting import formatted
from tapeline.session import Session
from tapeline.source.text import Source
from tapeline.source.world import standard_folder

STYLES = sorted(standard_folder("styles").glob("*.style"))


def test_styles_with_blanks_put_in_here_and_there():
    dice = random.Random(3)
    for path in dice.sample(STYLES, 6):
        text = path.read_text(encoding="utf-8")
        lines = text.split("\n")
        for _ in range(dice.randrange(4)):
            at = dice.randrange(len(lines))
            lines[at] += dice.choice(["", "  ", " -- \U0001d49c"])
            lines.insert(at, "")
        source = Source("any.style", "\n".join(lines))
        edits, said = formatted(source)
        wanted, told = Session().read(source).tidied()
        assert said == told
        text = source.text
        for edit in edits:
            assert edit.span.text != edit.text
            text = text[: edit.span.start] + edit.text + text[edit.span.end :]
        assert text == wanted


def test_only_lines_that_change_are_edited():
    text = 'language 1\nstyle trial "Trial"\nmeasure hip\n\nfar=hip*2\n\nnear = hip\n'
    ((edit,), said) = formatted(Source("trial.style", text))
    assert not said and (edit.span.text, edit.text) == ("far=hip*2\n", "far = hip * 2\n")
    assert formatted(Source("trial.style", text.replace("far=hip*2", "far = hip * 2"))) == ([], [])
