"""The tour of the first hour is what happens: its commands work, its files are those that are begun, the page says what is quoted, and each
step mends what it says.  The page is asked through its language server, in this process; the pictures are made by `tests/tour.py`."""

import asyncio
import re
import shlex
import sys
from pathlib import Path

from lsprotocol import types

from tapeline.desk.beginning import INVENTED, beginnings
from tour import NAMES, PICTURES, TOUR, blocks, files

sys.path.insert(0, str(Path(__file__).parents[1] / "serving"))
from speaking import in_process

TEXT = TOUR.read_text(encoding="utf-8")


def with_line(text, line):
    """A text with a line in place of the one that begins with the same two words; only one does."""
    begin = " ".join(line.split()[:2])
    if not any(one.startswith(begin) for one in text.splitlines()):
        begin = line.split()[0]
    old = [one for one in text.splitlines() if one.startswith(begin)]
    assert len(old) == 1, (begin, old)
    return text.replace(f"{old[0]}\n", line)


def test_the_tour_is_followed_command_by_command(tmp_path, monkeypatch, tapeline):
    from tapeline.desk.commands import open as opening

    seen = []
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(opening.open, "callback", lambda **given: seen.append((given["style"], given["body"], given["house"])))
    begin, again, second = ["".join(block.splitlines(keepends=True)) for block in blocks("console")]
    command, _, told = begin.partition("\n")
    assert tapeline(*shlex.split(command)[2:]).stdout == told
    assert tapeline(*shlex.split(again)[2:]).exit_code == 0
    assert seen == [("my_skirt.style", "my_skirt.toml", "house.toml")] * 2
    assert sorted(re.findall(r"^\| `(.*?)`", TEXT, re.MULTILINE)) == sorted(path.name for path in tmp_path.iterdir())
    # the card is the one that was begun, with another name and other figures, and the day
    (card,) = blocks("toml")
    begun = (tmp_path / "my_skirt.toml").read_text()
    kept = [line for line in begun.splitlines() if line.startswith(("#", "["))]
    assert kept == [line for line in card.splitlines() if line.startswith(("#", "["))] and f'"{INVENTED["waist"]}"' in begun
    (tmp_path / "my_skirt.toml").write_text(card)
    why, *rest = [line for block in blocks("sh") for line in block.splitlines()]
    assert tapeline(*shlex.split(why)[1:]).stdout == blocks("text why")[0]
    style = tmp_path / "my_skirt.style"

    def hem():
        return re.search(r"hem +([\d.]+ cm)", tapeline("draft", "my_skirt.style", "--for", "my_skirt.toml", "-o", "tried").stdout)[1]

    was = hem()
    style.write_text(with_line(style.read_text(), blocks("style line")[0]))
    assert re.search(r"from (.*) to\s+(.*), says the ledger", TEXT).groups() == (was, hem())
    for line in rest:
        assert tapeline(*shlex.split(line)[1:]).exit_code == 0, line
    for name in re.findall(r"`(my_skirt/.*?)`", TEXT):
        assert (tmp_path / name).is_file()
    (tmp_path / "quarter.style").write_text(files()["quarter.style"])
    assert tapeline(*shlex.split(second)[2:]).exit_code == 0 and seen[-1][0] == "quarter.style"


def test_the_page_says_what_the_tour_quotes_and_each_step_mends_it(tmp_path):
    said, (_, *lines) = blocks("text said"), blocks("style line")
    buttons = [["waist", "wrist"], ["50 cm"], []]
    assert len(said) == len(lines) == len(buttons)

    async def session():
        uri, text = (tmp_path / "quarter.style").as_uri(), files()["quarter.style"]
        async with in_process() as client:
            await client.begin()
            client.open(uri, text)
            for version, (words, line, offered) in enumerate(zip(said, lines, buttons, strict=True), 1):
                told = sorted(await client.diagnostics(uri, version), key=lambda one: one.range.start.line)
                assert len(told) == len(said) + 1 - version
                shown = iter(told[0].message.splitlines())
                assert all(quoted in shown for quoted in words.splitlines()), told[0].message  # in this order
                params = types.CodeActionParams(types.TextDocumentIdentifier(uri), told[0].range, types.CodeActionContext([]))
                actions = await client.text_document_code_action_async(params) or []
                assert [action.title for action in actions] == [
                    f'Write "{word}"' if word.isalpha() else f"Write {word}" for word in offered
                ]
                text = with_line(text, line)
                if actions:
                    (edit,) = actions[0].edit.changes[uri]
                    assert f"*{actions[0].title}*" in TEXT and edit.new_text in line
                client.change(uri, version + 1, text)
            assert await client.diagnostics(uri, len(said) + 1) == []
        return text

    mended = asyncio.run(session())
    assert "wiast" not in mended and "band.lower" in mended


def test_the_mended_style_is_drafted_for_the_card(tmp_path, monkeypatch, tapeline):
    monkeypatch.chdir(tmp_path)
    for name, text in files().items():
        (tmp_path / name).write_text(text)
    assert tapeline("check", "quarter.style").exit_code == 1
    for line in blocks("style line")[1:]:
        (tmp_path / "quarter.style").write_text(with_line((tmp_path / "quarter.style").read_text(), line))
    assert tapeline("draft", "quarter.style", "--for", "my_skirt.toml", "--house", "house.toml", "-o", "out").exit_code == 0
    assert tapeline("tidy", "--check", "quarter.style").exit_code == 0


def test_the_tour_shows_its_pictures_and_is_told_of():
    assert tuple(re.findall(r"\(\.\./styles/pictures/(hour_.*?)\)", TEXT)) == NAMES
    assert all((PICTURES / name).read_bytes().startswith(b"\x89PNG") for name in NAMES)
    assert "compiler/FIRST_HOUR.md" in (TOUR.parents[1] / "README.md").read_text(encoding="utf-8")
    for line in beginnings("my_skirt")["my_skirt.style"].splitlines():
        assert not line.startswith("--") or len(line) <= 64  # a comment is read on the page without moving the text
