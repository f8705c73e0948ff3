"""The frame of every HTML page that the program writes: head, policy, body.

A page is one file: nothing is fetched, and a policy in its head forbids it; the one style sheet and the scripts are let in by
their hashes.  Words of a style, a card or a house are escaped where they are set in; what could act on a screen without being
seen, such as a control character, becomes a blank here, so that no page can forget it.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256
from html import escape

_KEPT = "\n\u00a0\u202f"  # line ends, and the blanks at which no line is broken


def html_document(
    mark: str, title: str, style: str, body: Sequence[str], language: str = "en", data: str = "", script: str = ""
) -> str:
    """A whole document.  `mark` is the element by which the program knows the page again; `data` is JSON that the script finds
    in the element `page_data`; `title` is escaped here, the parts of the body are HTML already."""
    policy = f"default-src 'none'; style-src {_hash(style)}; {f'script-src {_hash(script)}; ' if script else ''}base-uri 'none'; form-action 'none'"
    scripts = [f'<script type="application/json" id="page_data">{data}</script>', f"<script>{script}</script>"] if script else []
    return printable(
        "\n".join(
            [
                "<!DOCTYPE html>",
                f'<html lang="{language}">',
                "<head>",
                '<meta charset="utf-8">',
                mark,
                f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
                '<meta name="viewport" content="width=device-width, initial-scale=1">',
                f"<title>{escape(title)}</title>",
                f"<style>{style}</style>",
                "</head>",
                "<body>",
                *filter(None, body),
                *scripts,
                "</body>",
                "</html>",
                "",
            ]
        ),
        _KEPT,
    )


def printable(text: str, kept: str = "\n") -> str:
    """The text without what words could do to a terminal or a page: each such sign becomes a blank, those that are kept stay."""
    signs = {ord(letter): " " for letter in set(text) if not letter.isprintable() and letter not in kept}
    return text.translate(signs) if signs else text


def _hash(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"
