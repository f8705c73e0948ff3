"""A client's name stands where it must and nowhere else: in no byte of anonymous papers, nor of what is kept in the cache folder."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pypdfium2
import pytest
from clients import DAY, card

NAME, NOTE, FILE = "Philippa Quayside", "left hip higher", "philippa"


def bytes_of(folder):
    """Every byte of the files in a folder, and the words of PDFs, with the names of the files."""
    for path in sorted(folder.rglob("*")):
        yield path.relative_to(folder).as_posix(), path.relative_to(folder).as_posix().encode()
        if path.is_file():
            data = path.read_bytes()
            yield path.name, data
            if path.suffix == ".pdf":
                document = pypdfium2.PdfDocument(data)
                told = [page.get_textpage().get_text_range() for page in document]
                yield path.name, " ".join([*told, *document.get_metadata_dict().values()]).encode()


def telling(folder):
    """The files in which the client's name, her note or her file's name stands."""
    words = [word.encode() for word in (NAME, *NAME.split(), NOTE, FILE)]
    return {name for name, data in bytes_of(folder) if any(word.lower() in data.lower() for word in words)}


@pytest.fixture
def client(folder):
    text = card(NAME).replace('note = "invented"', f'note = "{NOTE}"')
    # A doubt whose caution names the card: a hip that is narrower than the waist would be.
    (folder / f"{FILE}.toml").write_text(text.replace("100 cm", "70 cm"))
    return folder


PAPERS = ("--papers", "all", *DAY)


def test_anonymous_papers_tell_no_name(client, tapeline):
    result = tapeline("draft", "plain_skirt.style", "--for", f"{FILE}.toml", "-o", "out", "--anonymous", *PAPERS)
    assert result.exit_code == 0, result.stderr
    assert "caution" in result.stderr  # there is something to be left out
    assert telling(client / "out") == set()
    record = json.loads((client / "out/pattern.json").read_text())
    assert record["body"] == "p" and record["anonymous"] is True
    named = tapeline("draft", "plain_skirt.style", "--for", f"{FILE}.toml", "-o", "named", *PAPERS)
    assert named.exit_code == 0
    assert {name for name in telling(client / "named") if not name.endswith(".png")} == {
        path.name for path in (client / "named").iterdir() if path.suffix != ".png"
    }


def test_an_anonymous_order_tells_its_number(client, tapeline):
    Path(f"{FILE}-skirt.order").write_text(f'client = "{FILE}"\nstyle = "plain_skirt"\nnumber = "41"\n')
    result = tapeline("draft", f"{FILE}-skirt.order", "-o", "out", "--anonymous", *PAPERS)
    assert result.exit_code == 0, result.stderr
    assert telling(client / "out") == set()
    assert (client / "out/plain_skirt-41-2026-11-30.svg").is_file()
    Path(f"{FILE}-skirt.order").write_text(f'client = "{FILE}"\nstyle = "plain_skirt"\n')
    assert tapeline("draft", f"{FILE}-skirt.order", "-o", "other", "--anonymous", *PAPERS).exit_code == 0
    assert (client / "other/plain_skirt-ps-2026-11-30.svg").is_file() and telling(client / "other") == set()


def test_anonymous_results_number_the_bodies(client, tapeline):
    Path("all.csv").write_text(
        f'size, waist [cm], hip [cm], waist_to_hip [cm]\n"{NAME}, of Quay Row", 72, 98, 20\nIda Moor, 80, 108, 20\n{NAME}, 0, 108, 20\n'
    )
    command = ("batch", "plain_skirt.style", "all.csv", "-o")
    assert tapeline(*command, "named.jsonl").exit_code == 1  # a waist of nothing
    assert tapeline(*command, "results.jsonl", "--anonymous").exit_code == 1
    named, numbered = ([json.loads(line) for line in Path(name).read_text().splitlines()] for name in ("named.jsonl", "results.jsonl"))
    assert [row["body"] for row in numbered[1:-1]] == ["1", "2", "3"]
    assert [row["body"] for row in named[1:-1]] == [f"{NAME}, of Quay Row", "Ida Moor", NAME]
    for one, other in zip(named[1:-1], numbered[1:-1], strict=True):
        for row in (one, other):
            for told in row["found"]:
                told.pop("column", None)
        assert {**one, "body": "", "of": ""} == {**other, "body": "", "of": ""}
    assert NAME.split()[0] not in Path("results.jsonl").read_text()


def test_a_lock_tells_initials(client, tapeline):
    (client / "cards").mkdir()
    (client / f"cards/{FILE}.toml").write_text(card(NAME))
    (client / "cards/size_12.toml").write_text(card("size 12", 74))
    assert tapeline("lock", "plain_skirt.style", "--sizes", "cards", "-o", "locks/all.locked").exit_code == 0
    assert telling(client / "locks") == set()
    text = Path("locks/all.locked").read_text()
    assert "\n    PQ\n" in text and "size 12" in text


def test_the_cache_holds_no_client(client):
    """A process with a cache folder of its own, in which an order is written, drafted and listed."""
    cache = client / "cache"
    cache.mkdir(mode=0o700)
    surroundings = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    for words in (
        ("order", "belt", "--for", FILE, "-o", f"{FILE}-belt.order", *DAY),
        ("draft", f"{FILE}-belt.order", *DAY),
        ("orders", ".", *DAY),
    ):
        subprocess.run([sys.executable, "-m", "tapeline.desk.cli", *words], check=True, env=surroundings, capture_output=True)
    assert [path for path in cache.rglob("*.style") if path.is_file()]  # something is kept there
    assert telling(cache) == set()
