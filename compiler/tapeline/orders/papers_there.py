"""Whose papers lie in a folder already: told by the records, `pattern.json`, that lie beside them.

Papers of one client never take the place of another's, nor those of one style that of another's, nor those of a new draft
that of an earlier day's which came out otherwise, unless that is asked for.  Of the drafts of an order, which are kept apart by
day, nothing takes the place of what is not the same draft.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from ..source.diagnostics import Diagnostic, refused

RECORD = "pattern"  # how the names of records begin
_LARGEST = 1 << 28  # bytes of a record that is read


def read_record(path: Path) -> dict[str, Any] | None:
    """The record of a draft of this program at a path; None where there is none."""
    try:
        if not path.is_file() or path.stat().st_size > _LARGEST:
            return None
        record = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    return (
        record if isinstance(record, dict) and record.get("made_by") == "tapeline" and isinstance(record.get("style"), dict) else None
    )


def papers_of_others(folder: Path, papers: Mapping[str, bytes], each_day: bool = False) -> list[Diagnostic]:
    """O107 for each record that would be replaced by one of another draft; `each_day`: by one that differs in anything."""
    told = []
    for name, content in papers.items():
        if not (name.startswith(RECORD) and name.endswith(".json")):
            continue
        there = read_record(folder / name)
        new = json.loads(content) if there is not None else {}
        whose = "" if there is None else _whose(there, new, each_day)
        if whose:
            told.append(
                refused(
                    (folder / name).as_posix(),
                    "O107",
                    "The folder holds the papers of another draft",
                    "an empty folder, or papers of the same draft",
                    whose,
                    "Choose another folder with -o, or add --overwrite to replace them.",
                )
            )
    return told


def _whose(there: Mapping[str, Any], new: Mapping[str, Any], each_day: bool) -> str:
    """Whose papers lie there, where they are not to be replaced by the new ones without a word."""
    if there.get("body") != new["body"]:
        return f"papers for {there.get('body') or 'another body'}"
    if there["style"].get("name") != new["style"]["name"]:
        return f"papers of {there['style'].get('name') or 'another style'}"
    days = [str(record.get("date") or "")[:10] for record in (there, new)]
    other = list(differing(there, new))
    if other and (each_day or days[0] != days[1]):
        return f"papers of {days[0] or 'no date'}, drafted with other {' and '.join(other)}"
    return ""


def differing(there: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    """What two records of a style do not rest on alike, in words."""
    for key, words in (("measures", "measures"), ("choices", "choices"), ("rules", "rules"), ("fittings", "fittings")):
        if there.get(key) != new.get(key):
            yield words
    if _house(there) != _house(new):
        yield "ways of the house"


def _house(record: Mapping[str, Any]) -> object:
    rests_on = record.get("rests_on")
    return rests_on.get("house") if isinstance(rests_on, Mapping) else None
