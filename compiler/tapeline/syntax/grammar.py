"""The whole grammar: `grammar.lark`, and the rule of every statement from its record."""

from __future__ import annotations

from pathlib import Path

from .tree import RECORDS

START = "start"


def grammar() -> str:
    """The text of the grammar, as Lark reads it."""
    records = RECORDS.values()
    names = [*(record.name for record in records), "without"]
    taking = ['"without" NAME _NL -> without_named']
    taking += [f'"without" {record.without} _NL -> without_{record.name}' for record in records if record.without is not None]
    rules = [
        f"?statement: {' | '.join(names)}",
        *(f"{record.name}: {record.rule}" for record in records),
        f"?without: {' | '.join(taking)}",
    ]
    return "\n".join([Path(__file__).with_name("grammar.lark").read_text(encoding="utf-8"), *rules, ""])
