"""Words that were replaced, and what each is called now.

One record for every old word, so that a text, a card, a table or a command line that still has it is told the new one.
An old word has no meaning any more: what it says is refused, and only read on as the new word so that the rest is checked.
"""

from __future__ import annotations

MEASURES = {
    "front_neck_to_waist": "centre_front_length",
    "neck_to_waist_front": "side_neck_over_bust_to_waist",
    "nape_to_waist_front": "nape_over_bust_to_waist",
}

FUNCTIONS = {
    "size": "absolute_value",
    "whole": "rounded_down",
    "count": "rounded_up",
}

HOUSE_KEYS = {"turnings": "allowances"}

# Where a statement or the kind of a corner may stand.  EDGE is the edge that the corner names first.
EDGE = "EDGE"
PHRASES = {
    "block": "recipe",
    "change block": "change recipe",
    "draft": "sheet",
    "change draft": "change sheet",
    "unfold at": "open out at",
    "mitred": "pointed",
    "squared": f"square to {EDGE}",
    "blunted": "cut off",
    "mirrored": "as folded",
}

COMMANDS = {"bulk": "batch"}

OPTIONS = {"--stack": "--together-at"}

NAMES = {**MEASURES, **FUNCTIONS, **HOUSE_KEYS, **COMMANDS}
