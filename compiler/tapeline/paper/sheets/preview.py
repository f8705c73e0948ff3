"""Pictures for sharing: any page of a PDF, or a whole drawing, as a PNG.

Pages are drawn by the PDF writer and made pictures by pdfium, which is imported when the first is made; the PNG itself is
written here, in shades of grey, without date or chance.  A drawing longer than a page of a PDF may be is made of several,
set edge to edge.
"""

from __future__ import annotations

import math
import struct
import zlib
from typing import Any

import numpy as np

from ...geometry.arrays import Floats
from ..drawing.model import Drawing
from ..house.paper_sizes import LONGEST
from ..house.work import Work
from .pdf import Layer, Page, write_pdf
from .sheet import draw_sheet

MARK = b"tEXtSoftware\0tapeline"
SIDE = 2400  # pixels of the longer side
POINTS = 72 / 25.4  # of a PDF, to the millimetre


def papers(work: Work) -> dict[str, bytes]:
    """NAME-preview.png: the whole sheet, small."""
    sheet = draw_sheet(work.finished, work.index, work.heading, work.opened, foundations=work.foundations)
    return {f"{work.file_stem}-preview.png": drawing_png(sheet)}


def is_ours(data: bytes) -> bool:
    """Whether a picture is one that this program made."""
    return data.startswith(b"\x89PNG\r\n\x1a\n") and MARK in data[:256]


def page_png(pdf: bytes, page: int = 1, side: int = SIDE) -> bytes:
    """Page `page`, from 1, of a PDF; its longer side has `side` pixels.  ValueError if there is no such page."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        if not 1 <= page <= len(document):
            raise ValueError(f"there is no page {page}: the file has {len(document)}")
        scale = side / max(document[page - 1].get_size())
        return write_png(_grey(document[page - 1], scale), scale * POINTS)
    finally:
        document.close()


def drawing_png(drawing: Drawing, side: int = SIDE) -> bytes:
    """A drawing of the model; its longer side has about `side` pixels."""
    import pypdfium2

    per_mm = side / max(drawing.width, drawing.height)
    high = _parts(drawing.height, per_mm)
    wide = _parts(drawing.width, per_mm)
    pages = [
        Page((right - left) / per_mm, (low - top) / per_mm, (Layer(drawing.items, -left / per_mm, -top / per_mm),), "preview")
        for top, low in high
        for left, right in wide
    ]
    document = pypdfium2.PdfDocument(write_pdf(pages, drawing.title or "preview"))
    try:
        shades = [_grey(document[k], per_mm / POINTS) for k in range(len(pages))]
    finally:
        document.close()
    rows = [np.hstack(shades[k : k + len(wide)]) for k in range(0, len(shades), len(wide))]
    return write_png(np.vstack(rows), per_mm)


def _parts(length: float, per_mm: float) -> list[tuple[int, int]]:
    """A length in parts of whole pixels, none longer than a page of a PDF may be."""
    pixels = max(1, math.ceil(length * per_mm - 1e-6))
    step = max(1, math.floor(LONGEST * per_mm))
    return [(first, min(first + step, pixels)) for first in range(0, pixels, step)]


def _grey(page: Any, scale: float) -> Floats:
    """The page as shades of grey (rows, columns), zero for black."""
    picture = page.render(scale=scale * (1 - 2e-6), grayscale=True)  # sizes are rounded up: none for the last figure's sake
    shades = picture.to_numpy()
    return np.ascontiguousarray(shades.reshape(shades.shape[0], shades.shape[1]))


def write_png(shades: Floats, per_mm: float = 0.0) -> bytes:
    """Shades of grey (rows, columns) as a PNG; `per_mm` tells its true size, if it has one."""
    rows, columns = shades.shape
    lines = np.zeros((rows, columns + 1), dtype=np.uint8)  # each line begins with the number of its filter, here none
    lines[:, 1:] = shades
    parts = [_chunk(b"IHDR", struct.pack(">IIBBBBB", columns, rows, 8, 0, 0, 0, 0)), _chunk(MARK[:4], MARK[4:])]
    if per_mm > 0:
        across = round(per_mm * 1000)
        parts.append(_chunk(b"pHYs", struct.pack(">IIB", across, across, 1)))
    return b"".join([b"\x89PNG\r\n\x1a\n", *parts, _chunk(b"IDAT", zlib.compress(lines.tobytes(), 9)), _chunk(b"IEND", b"")])


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
