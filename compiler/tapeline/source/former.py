"""Words that were replaced, and what each is called now.

One record for every old word, so that a text, a card, a table or a command line that still has it is told the new one.
An old word is never read: each has one meaning, and that is the new word's.
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

COMMANDS = {"bulk": "batch"}

NAMES = {**MEASURES, **FUNCTIONS, **HOUSE_KEYS, **COMMANDS}
