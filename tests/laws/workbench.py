"""What the laws of styles share: a style read from its text, bodies drawn from a seed, and the draft for them."""

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

HEAD = """language 1
style corselet_skirt "Corselet skirt"

use measurements
measure waist, hip, waist_to_hip, waist_to_knee
"""


def style_of(text):
    """The style of a text that must be in order."""
    style, diagnostics = read(Source("corselet.style", text), FolderWorld())
    assert style is not None, "\n".join(render(one) for one in diagnostics) + "\n" + text
    return style


def bodies(random, n):
    """Waist and hip girths, and depths, of grown women (mm): wide bounds, so that slim and broad figures meet."""
    waist = random.uniform(580.0, 1050.0, n)
    return {
        "waist": waist,
        "hip": waist + random.uniform(120.0, 300.0, n),
        "waist_to_hip": random.uniform(180.0, 240.0, n),
        "waist_to_knee": random.uniform(520.0, 640.0, n),
    }


def drafted(style, measures, choices=None):
    """The one draft of a style without forks."""
    drafts = draft(style, measures, choices)
    assert len(drafts) == 1
    return drafts[0]


def told(one_draft, index=0):
    """The errors of one body, as shown."""
    return [failure.diagnostic(index) for failure in one_draft.failures if failure.severity == "error" and failure.bodies[index]]
