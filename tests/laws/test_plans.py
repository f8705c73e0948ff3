"""Laws of plans: no step is there twice, and equal calculations of different rules stay apart."""

from pathlib import Path

import pytest

from tapeline.meaning.plan import Step
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

ROOT = Path(__file__).resolve().parents[2]
TEXTS = sorted([*(ROOT / "styles").glob("*.style"), *(ROOT / "tests" / "worked").glob("*.style")])


def told_apart(step: Step, ends: set[int]) -> tuple:
    """All that tells a step from others; a point that begins a piece is its piece's own."""
    own = step.out if step.operation in ("find", "solve") or step.out in ends else None
    return step.operation, step.inputs, repr(sorted(step.options.items())), step.guards, step.span, own


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_no_step_is_there_twice(path):
    style, _ = read(Source(path.name, path.read_text(encoding="utf-8")), FolderWorld(path.parent))
    if style is None:
        pytest.fail(f"{path.name} is not in order")
    for plan in style.plans():
        begins = {step.out for step in plan.steps if step.operation in ("origin", "place")}
        seen = {}
        for step in plan.steps:
            first = seen.setdefault(told_apart(step, begins), step)
            assert first is step, f"{step.operation} at {step.span} is there twice"
