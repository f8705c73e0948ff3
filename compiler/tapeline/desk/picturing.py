"""A page of a PDF as a picture, to send to somebody: the paper stays what it is, the picture is for looking at."""

from __future__ import annotations

from pathlib import Path

from ..source.diagnostics import Diagnostic, refused

LARGEST = 200_000_000  # bytes of a file that is looked into


def picture_of(path: Path, page: int) -> tuple[dict[str, bytes], list[Diagnostic]]:
    """(file name -> PNG, diagnostics) of one page, from 1."""
    from ..paper.sheets.preview import page_png

    name = path.as_posix()
    try:
        if path.stat().st_size > LARGEST:
            return {}, [
                refused(
                    name,
                    "F002",
                    "The file is too large",
                    f"at most {LARGEST} bytes",
                    f"{path.stat().st_size} bytes",
                    "Is it really a PDF?",
                )
            ]
        data = path.read_bytes()
    except OSError as problem:
        return {}, [
            refused(
                name,
                "F001",
                "The file cannot be read",
                "a PDF",
                f"{(problem.strerror or 'an error').lower()}",
                "Check its name and permissions.",
            )
        ]
    try:
        return {f"{path.stem}-{page}.png": page_png(data, page)}, []
    except ValueError as problem:
        return {}, [
            refused(
                name,
                "F006",
                "There is no such page to picture",
                "a PDF, and the number of one of its pages",
                str(problem),
                "Name another page: --page 1",
            )
        ]
    except Exception:  # whatever the reader of PDFs calls a file that it cannot read
        return {}, [
            refused(
                name,
                "F006",
                "There is no such page to picture",
                "a PDF",
                "a file that is not one, or a spoiled one",
                "Draft again with --papers pdf, and picture a page of what is written.",
            )
        ]
