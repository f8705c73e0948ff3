"""Write what editors know of the language without asking the server, from the grammar and the records of statements.

    python compiler/editors/make.py

writes the TextMate grammar and the language configuration of `vscode/`; a test holds the committed files against it.  A TextMate grammar
sees one line at a time and knows no meaning.  It takes a word for one of the language where a statement or row of a table begins with
it, or where it is one that rules put between names; a name that is also such a word may so look like one until the server has told
its meaning.  The expressions keep to what Oniguruma and Python's `re` read alike: no possessive or atomic group, no lookbehind of
more than one character.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from tapeline.source.units import WRITTEN, pattern  # noqa: E402
from tapeline.syntax.grammar import grammar  # noqa: E402

LANGUAGE, SCOPE = "tapeline", "source.tapeline"
NAME = r"[^\W\d]\w*'*"
NAMED = rf"(?:\d+)?{NAME}|\d+"  # of points too, which may be called 12 or 6A
BEFORE, AFTER = r"(?<![\w'])", r"(?![\w'])"
LITERAL = r'"(?:[^"\\]|\\.)*"'
KIND, OPEN = "KIND", "_IN"


def rules(text: str) -> dict[str, list[str]]:
    """Rule or terminal -> its alternatives, without the names that they make."""
    found: dict[str, list[str]] = {}
    name = ""
    for line in text.splitlines():
        line = re.sub(r"//.*", "", line)
        begins = re.match(r"\??(\w+)\s*:(.*)", line)
        if begins:
            name, line = begins[1], begins[2]
            found[name] = []
        elif not line.strip().startswith("|"):
            continue
        found[name] += [re.sub(r"->\s*\w+", "", part).strip() for part in _parted(line) if part.strip()]
    return found


def _parted(line: str) -> list[str]:
    """The alternatives of a line, split at strokes outside texts and brackets."""
    parts, depth, start = [], 0, 0
    for match in re.finditer(rf"{LITERAL}|[|()\[\]]", line):
        depth += (match[0] in "([") - (match[0] in ")]") if len(match[0]) == 1 else 0
        if match[0] == "|" and not depth:
            parts.append(line[start : match.start()])
            start = match.end()
    return [*parts, line[start:]]


def _words(literal: str) -> list[str]:
    phrase = literal[1:-1]
    return [phrase] if re.fullmatch(r"[a-z ]+", phrase) else []


class Vocabulary:
    """The words of the language: `heads` begin a line, `naming` those of them that a name follows at once, `opening` those whose
    statement has lines below it, `kinds` stand behind a parameter, `others` are all that stand elsewhere."""

    def __init__(self) -> None:
        found = rules(grammar())
        terminals = {name: [word for part in parts for word in _words(part)] for name, parts in found.items() if name.isupper()}
        self.heads: set[str] = set()
        self.naming: set[str] = set()
        self.opening: set[str] = set()
        self.kinds = set(terminals[KIND])
        self.others: set[str] = set()
        for name, parts in found.items():
            if name.isupper():
                continue
            for part in parts:
                symbols = re.findall(rf"{LITERAL}|\w+|[\[\]()?*+]", part)
                begins_line = "_NL" in symbols or "message" in symbols or "version" in symbols
                phrases = [_words(symbol) if symbol.startswith('"') else terminals.get(symbol, []) for symbol in symbols]
                self.others.update(word for phrase in phrases[begins_line:] for word in phrase)
                if not begins_line:
                    continue
                self.heads.update(phrases[0])
                if symbols[1:2] in (["NAME"], ["point_name"]):
                    self.naming.update(phrases[0])
                if OPEN in symbols or "body" in symbols:
                    self.opening.update(phrases[0])
        self.others -= self.kinds
        self.naming -= {"pivot", "close", "shorten", "release", "true", "join", "press", "trim", "extend", "trace", "without", "cut"}


def _choice(words: set[str]) -> str:
    """Any of these, the longest first, with any blanks between the words of one."""
    return "|".join(word.replace(" ", "[ \\t]+") for word in sorted(words, key=lambda word: (-len(word), word)))


def textmate() -> dict[str, Any]:
    """The TextMate grammar."""
    words = Vocabulary()
    units = pattern(unit.word for unit in WRITTEN if unit.of != "number")
    shares = pattern(unit.word for unit in WRITTEN if unit.of == "number")
    figure = r"(?:\d+[ ]+)?\d+/[1-9]\d*|\d+(?:\.\d+)?"

    def captures(*scopes: str) -> dict[str, dict[str, str]]:
        return {str(number): {"name": f"{scope}.{LANGUAGE}"} for number, scope in enumerate(scopes, 1)}

    def simple(scope: str, match: str) -> dict[str, Any]:
        return {"name": f"{scope}.{LANGUAGE}", "match": match}

    def parted(match: str, *scopes: str) -> dict[str, Any]:
        return {"match": match, "captures": captures(*scopes)}

    keyword, name, number = "keyword.control", "variable.other", "constant.numeric"
    return {
        "$schema": "https://raw.githubusercontent.com/martinring/tmlanguage/master/tmlanguage.json",
        "name": "Tapeline",
        "scopeName": SCOPE,
        "fileTypes": ["style", "fittings"],
        "patterns": [
            simple("comment.line.double-dash", "--.*$"),
            simple("string.quoted.double", '"[^"]*"'),
            parted(rf"({figure})[ ]*({units})(?!\w)", number, "keyword.other.unit"),
            parted(rf"(\d+(?:\.\d+)?)[ ]*({shares})", number, "keyword.other.unit"),
            parted(rf"^[ ]*({NAME})[ \t]+({_choice(words.kinds)})(?=[ \t]*[\",)])", "variable.parameter", "storage.type"),
            parted(rf"^[ ]*({_choice(words.naming)})[ \t]+((?!at{AFTER})(?:\d+)?{NAME})(?![ \t]*=)", keyword, "entity.name"),
            parted(rf"{BEFORE}({NAMED})[ \t]*(\.)[ \t]*({NAMED}){AFTER}", name, "punctuation.accessor", name),
            parted(rf"^[ ]*({NAME})(?=[ \t]*=)", "entity.name"),
            parted(rf"{BEFORE}({NAME})[ \t]+({_choice(words.kinds)})(?=[ \t]*(?:[\",)]|$))", "variable.parameter", "storage.type"),
            parted(rf"^[ ]*({_choice(words.heads)}){AFTER}", keyword),
            parted(rf"{BEFORE}({_choice(words.others)}){AFTER}", "keyword.other"),
            simple(name, rf"{BEFORE}(?:\d+)?{NAME}{AFTER}"),
            simple(number, rf"{BEFORE}(?:\d+[ ]+\d+/[1-9]\d*|\d+(?:\.\d+)*)"),
            simple("keyword.operator", r"[-+*/=]"),
        ],
    }


def configuration() -> dict[str, Any]:
    """The language configuration."""
    words = Vocabulary()
    opening = _choice(words.opening - {"cut"})
    return {
        "comments": {"lineComment": "--"},
        "brackets": [["(", ")"]],
        "autoClosingPairs": [
            {"open": "(", "close": ")", "notIn": ["string", "comment"]},
            {"open": '"', "close": '"', "notIn": ["comment"]},
        ],
        "surroundingPairs": [["(", ")"], ['"', '"']],
        "wordPattern": {"pattern": r"[\p{L}\p{N}_]+'*", "flags": "u"},
        "folding": {"offSide": True},
        "indentationRules": {
            "increaseIndentPattern": rf"^[ ]*(?:(?:{opening})\b|cut[ \t]+[A-Za-z_])",
            "decreaseIndentPattern": r"^[ ]*otherwise\b",
        },
    }


def files() -> dict[Path, str]:
    """What the script writes, by path."""
    return {
        HERE / "vscode" / "syntaxes" / "tapeline.tmLanguage.json": _json(textmate()),
        HERE / "vscode" / "language-configuration.json": _json(configuration()),
    }


def _json(data: dict[str, Any]) -> str:
    return json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def main() -> None:
    for path, text in files().items():
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
