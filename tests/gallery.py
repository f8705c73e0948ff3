"""The pictures of the read-me and the gallery of `styles/README.md`, as they are made from the styles.

Run as a script it writes them: `python tests/gallery.py`.  Each style has a sheet with the garment, front and back, sketched from its pieces,
and the pieces; the read-me has its first drawing, a nest of sizes, and the proof page.  That page is photographed by a browser
(chromium), and the picture keeps a digest of the page it shows, its figures left out; so a test can tell whether it is of today's page.
"""

from __future__ import annotations

import hashlib
import re
import struct
import subprocess
import sys
import tempfile
import zlib
from pathlib import Path

import tapeline

ROOT = Path(__file__).parents[1]
STYLES, PICTURES = ROOT / "styles", ROOT / "styles" / "pictures"
PAGE = STYLES / "README.md"
NAMES = tuple(path.stem for path in sorted(STYLES.glob("*.style")))
BEGIN, END = "<!-- The gallery is made from the styles by tests/gallery.py. -->", "<!-- Here the gallery ends. -->"
COMMAND = "python tests/gallery.py"
SHOT = (1280, 900)  # the browser's window
DIGEST = b"digest of the page"


def garment(name: str) -> bytes:
    """The sheet of one style, for the card in centimetres."""
    return _papers(name, "maud", "garment")[f"{name}-garment.svg"]


def sheet() -> bytes:
    """The first drawing of the read-me."""
    return _papers("corselet_skirt", "nell", "svg")["corselet_skirt.svg"]


def proof() -> bytes:
    return _papers("corselet_skirt", "nell", "proof")["corselet_skirt-proof.html"]


def nest() -> bytes:
    """The straight skirt in the sizes of Quay Row."""
    sizes = _read("straight_skirt").draft_sizes(ROOT / "stdlib" / "sizes" / "quay_row.csv")
    return sizes.papers("svg")["straight_skirt-nest.svg"]


def _papers(name: str, card: str, kind: str) -> dict[str, bytes]:
    drafts = _read(name).draft([STYLES / "bodies" / f"{card}.toml"])
    (draft,) = drafts
    return draft.papers(kind)


def _read(name: str) -> tapeline.Reading:
    return tapeline.Session().read(STYLES / f"{name}.style")


def gallery() -> str:
    """The gallery, as it should stand between the marked lines."""
    return "\n".join(f"### `{name}`\n\n![{name.replace('_', ' ')}: front, back and pieces](pictures/{name}.svg)\n" for name in NAMES)


def page(text: str) -> str:
    """The text of the page with its gallery made anew.  ValueError where a marked line is missing."""
    above, rest = text.split(BEGIN + "\n")
    _, below = rest.split(END)
    return f"{above}{BEGIN}\n\n{gallery()}\n{END}{below}"


def drawings() -> dict[str, bytes]:
    """Every picture that is drawn, by its file name."""
    return {f"{name}.svg": garment(name) for name in NAMES} | {"first_drawing.svg": sheet(), "nest.svg": nest()}


def digest(html: bytes) -> str:
    """Of a page without its figures, of which another machine may have the last one otherwise."""
    return hashlib.sha256(re.sub(rb"[0-9.]+", b"", html)).hexdigest()


def digest_in(png: bytes) -> str:
    """The digest of the page that a picture shows; nothing where it holds none."""
    found = re.search(DIGEST + rb"\x00([0-9a-f]{64})", png)
    return found[1].decode() if found else ""


def photograph(html: bytes) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "page.html").write_bytes(html)
        command = ["chromium", "--headless", "--no-sandbox", "--hide-scrollbars", f"--window-size={SHOT[0]},{SHOT[1]}"]
        subprocess.run([*command, f"--screenshot={folder}/page.png", f"file://{folder}/page.html"], check=True, capture_output=True)
        png = (Path(folder) / "page.png").read_bytes()
    text = DIGEST + b"\x00" + digest(html).encode()
    chunk = struct.pack(">I", len(text)) + b"tEXt" + text + struct.pack(">I", zlib.crc32(b"tEXt" + text))
    end = png.rindex(b"IEND") - 4
    return png[:end] + chunk + png[end:]


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    wanted = drawings()
    for name, data in wanted.items():
        (PICTURES / name).write_bytes(data)
    for old in PICTURES.glob("*.svg"):
        if old.name not in wanted:
            old.unlink()
    html, shot = proof(), PICTURES / "proof.png"
    if not shot.exists() or digest_in(shot.read_bytes()) != digest(html):
        shot.write_bytes(photograph(html))
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    sys.stdout.write(f"{len(wanted) + 1} pictures\n")
