"""What editors are given of the language is what the script makes of the grammar, and reads all shipped texts as the scanner does.

`words_of` is a small reading of a TextMate grammar: line by line, the pattern that matches first goes before those that match later,
and of those that match at one place the first in order.  It uses Python's `re`, so a pattern that only another engine reads fails here.
"""

import json
import re
import sys
from functools import cache
from pathlib import Path, PurePath

import pytest

import tapeline
from tapeline.source.text import Source
from tapeline.source.world import standard_texts
from tapeline.syntax.parser import parse
from tapeline.syntax.scanner import scan

EDITORS = Path(tapeline.__file__).parents[1] / "editors"
SHIPPED = {path: text for path, text in standard_texts().items() if path.endswith(".style")}
NAMES = ("NAME", "NUMBER", "QUANTITY", "STRING", "BROKEN")
# What one engine reads and another does not: lookbehind of several characters, atomic and possessive groups, named groups, inline flags.
ODD = re.compile(r"\(\?<[=!](?!\[[^\]]*\]\)|.\))|\(\?>|[*+?]\+|\(\?P|\(\?[a-z]")

pytestmark = pytest.mark.skipif(not EDITORS.is_dir(), reason="the editors' files stand in a checkout alone")


@cache
def script():
    sys.path.insert(0, str(EDITORS))
    try:
        import make
    finally:
        sys.path.remove(str(EDITORS))
    return make


@cache
def patterns():
    data = json.loads((EDITORS / "vscode/syntaxes/tapeline.tmLanguage.json").read_text(encoding="utf-8"))
    return [(re.compile(one["match"]), one) for one in data["patterns"]]


def words_of(text):
    """(line from 1, start, end, scope) of everything that has a scope."""
    for number, line in enumerate(text.splitlines(), 1):
        at = 0
        while at < len(line):
            found = [(match.start(), order, match) for order, (each, _) in enumerate(patterns()) if (match := each.search(line, at))]
            if not found:
                break
            _, order, match = min(found, key=lambda one: one[:2])
            one = patterns()[order][1]
            assert match.end() > match.start()
            for group, capture in one.get("captures", {}).items():
                yield number, match.start(int(group)), match.end(int(group)), capture["name"]
            if "name" in one:
                yield number, match.start(), match.end(), one["name"]
            at = match.end()


def test_the_committed_files_are_what_the_script_makes():
    for path, text in script().files().items():
        assert path.read_text(encoding="utf-8") == text, f"run: python compiler/editors/make.py ({path.name})"


def test_patterns_keep_to_what_all_engines_read():
    for _, one in patterns():
        assert not ODD.search(one["match"]), one["match"]
    assert ODD.search("(?<=from to)x") and ODD.search("a++") and ODD.search("(?>a)") and not ODD.search(r"(?<![\w'])x")


@cache
def read(path):
    """(scopes by line and column, the scanner's lexemes, its comments, the parser's words) of a text."""
    text = SHIPPED[path]
    scopes = {(line, column): scope for line, start, end, scope in words_of(text) for column in range(start, end)}
    source = Source(path, text)
    lines, comments, _, _ = scan(source)
    return scopes, [lexeme for line in lines for lexeme in line.lexemes], comments, list(parse(source).tree.tokens())


def scopes_at(scopes, span):
    """The scopes of the characters of a place that are no blanks."""
    return {scopes.get((span.line, span.column - 1 + at), "") for at, letter in enumerate(span.text) if not letter.isspace()}


@pytest.mark.parametrize("path", sorted(SHIPPED))
def test_it_reads_comments_texts_figures_and_keywords_as_the_language_does(path):
    scopes, lexemes, comments, words = read(path)
    for comment in comments:
        assert scopes_at(scopes, comment) == {"comment.line.double-dash.tapeline"}
    for lexeme in lexemes:
        if lexeme.kind == "STRING":
            assert scopes_at(scopes, lexeme.span) == {"string.quoted.double.tapeline"}
        elif lexeme.kind == "QUANTITY":
            assert scopes_at(scopes, lexeme.span) == {"constant.numeric.tapeline", "keyword.other.unit.tapeline"}, lexeme
    for word in words:
        if word.type in NAMES or not word.strip() or not word[0].isalpha():
            continue
        assert all(scope.startswith(("keyword", "storage")) for scope in scopes_at(scopes, word.span)), (word, word.span)


def test_few_names_look_like_words_of_the_language():
    """A name that is also a word of the language is told apart only by the server; of all names these are few."""
    names = wrong = 0
    seen = set()
    for path in SHIPPED:
        scopes, _, _, words = read(path)
        for word in words:
            if word.type == "NAME":
                names += 1
                if any(scope.startswith(("keyword", "storage")) for scope in scopes_at(scopes, word.span)):
                    wrong += 1
                    seen.add(str(word))
    vocabulary = script().Vocabulary()
    assert seen <= {part for word in vocabulary.heads | vocabulary.others | vocabulary.kinds for part in word.split()}
    assert names > 10_000 and wrong / names < 0.02, (wrong, names, sorted(seen))


def test_the_language_configuration_fits():
    data = json.loads((EDITORS / "vscode/language-configuration.json").read_text(encoding="utf-8"))
    opens = re.compile(data["indentationRules"]["increaseIndentPattern"])
    for text in SHIPPED.values():
        lines = [line for line in text.splitlines() if line.strip() and not line.strip().startswith("--")]
        for line, below in zip(lines, lines[1:], strict=False):
            deeper = len(below) - len(below.lstrip()) > len(line) - len(line.lstrip())
            if deeper and line.count("(") == line.count(")") and not below.strip().startswith('"') and not line.rstrip().endswith(","):
                assert opens.match(line), line
    assert not opens.match("    cut 2") and opens.match("cut front from a to b along c, seam d")
    assert data["comments"] == {"lineComment": "--"} and data["brackets"] == [["(", ")"]]


def test_the_extension_names_what_is_there():
    data = json.loads((EDITORS / "vscode/package.json").read_text(encoding="utf-8"))
    (language,), (grammar,) = data["contributes"]["languages"], data["contributes"]["grammars"]
    assert language["id"] == grammar["language"] == script().LANGUAGE and grammar["scopeName"] == script().SCOPE
    for path in (language["configuration"], grammar["path"], data["main"]):
        assert (EDITORS / "vscode" / PurePath(path)).is_file()
    assert language["extensions"] == [".style", ".fittings"]
    lock = json.loads((EDITORS / "vscode/package-lock.json").read_text(encoding="utf-8"))
    assert lock["packages"][""]["dependencies"] == data["dependencies"]
    assert all("integrity" in package for place, package in lock["packages"].items() if place)
