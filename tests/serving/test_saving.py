"""Files of the page: saved only when that is asked, never over what another wrote, never outside the folder; and what is not saved is
kept, whatever happens to the server."""

import asyncio
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from desks import BELT, desk, free_port, page

import tapeline
from tapeline.serving import saving
from tapeline.serving.unsaved import copies, keep_copy, write_whole

LONGER = BELT.replace("4 cm", "6 cm")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(saving, "EVERY", 0.05)
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "belt.style").write_text(BELT)
    return tmp_path / "home"


def test_a_text_is_saved_when_that_is_asked_and_then_alone(folder):
    async def trial():
        file = folder / "belt.style"
        file.chmod(0o640)
        async with desk(folder) as (_, door), page(door, uri=file.as_uri()) as one:
            await one.write(file.as_uri(), LONGER, 2)
            assert (await one.of("save", file.as_uri(), version=1, base=one.base))["code"] == -32801  # an older text is not saved
            assert file.read_text() == BELT
            assert (await one.of("keep", file.as_uri(), version=2, base=one.base)) == {"kept": True}
            (kept,) = folder.glob(".belt.style.*.unsaved")
            assert kept.stat().st_mode & 0o777 == 0o600 and kept.read_text().endswith(LONGER)
            saved = await one.of("save", file.as_uri(), version=2, base=one.base)
            assert saved["saved"] and file.read_text() == LONGER and file.stat().st_mode & 0o777 == 0o640
            assert [path.name for path in folder.iterdir()] == ["belt.style"]

    asyncio.run(trial())


def test_a_file_that_was_changed_meanwhile_is_not_saved_over(folder):
    async def trial():
        file, theirs = folder / "belt.style", BELT.replace("Belt", "Sash")
        async with desk(folder) as (_, door), page(door, uri=file.as_uri()) as one:
            await one.write(file.as_uri(), LONGER, 2)
            file.write_text(theirs)
            answer = await one.of("save", file.as_uri(), version=2, base=one.base)
            assert (answer["saved"], answer["why"], answer["text"]) == (False, "changed", theirs)
            assert file.read_text() == theirs
            other = await one.of("save_as", file.as_uri(), version=2, name="mine")
            assert other["saved"] and (folder / "mine.style").read_text() == LONGER
            again = await one.of("save_as", file.as_uri(), version=2, name="mine")
            assert not again["saved"] and "there already" in again["words"]
            assert (await one.of("save", file.as_uri(), version=2, base=answer["base"]))["saved"]  # over theirs, knowingly
            assert file.read_text() == LONGER

    asyncio.run(trial())


def test_a_change_on_the_disk_is_told_and_one_of_the_own_is_not(folder):
    async def trial():
        file = folder / "belt.style"
        uri = file.as_uri()
        async with desk(folder) as (_, door), page(door, "0000aaaa", uri) as one, page(door, "0000bbbb", uri) as two:
            await one.write(uri, LONGER, 2)
            assert (await one.of("save", uri, version=2, base=one.base))["saved"]
            told = await two.hears("tapeline/changed")
            assert (told["text"], told["by"]) == (LONGER, "tab")
            file.write_text(BELT)
            assert (await two.hears("tapeline/changed"))["by"] == "disk"
            assert (await one.hears("tapeline/changed"))["text"] == BELT  # the first that this tab is told of
            (folder / "waists.style").write_text('language 1\nlibrary waists "Waists"\n')
            assert (await one.hears("tapeline/elsewhere"))["names"] == ["waists.style"]
            file.unlink()
            assert (await one.hears("tapeline/changed"))["text"] is None

    asyncio.run(trial())


def test_two_tabs_keep_two_texts(folder):
    async def trial():
        uri = (folder / "belt.style").as_uri()
        async with desk(folder) as (_, door), page(door, "0000aaaa", uri) as one, page(door, "0000bbbb", uri) as two:
            for number, tab in enumerate((one, two)):
                await tab.write(uri, f"{BELT}-- {number}\n", 2)
                assert (await tab.of("keep", uri, version=2, base=tab.base))["kept"]
            assert {copy.text for copy in copies(folder / "belt.style")} == {f"{BELT}-- 0\n", f"{BELT}-- 1\n"}
            seen = {copy["tab"]: copy for copy in (await one.of("read", uri))["unsaved"]}
            assert seen["0000aaaa"]["own"] and seen["0000bbbb"]["elsewhere"]
            assert (await one.of("drop", uri, copy="0000bbbb"))["code"] == -32602  # it is open there
            await one.of("drop", uri)
            assert [copy.tab for copy in copies(folder / "belt.style")] == ["0000bbbb"]

    asyncio.run(trial())


def test_nothing_is_written_outside_the_folder(folder):
    async def trial():
        outside = folder.parent / "outside.style"
        outside.write_text(BELT)
        (folder / "link.style").symlink_to(outside)
        shipped = Path(tapeline.__file__).parents[2] / "styles" / "half_circle_skirt.style"
        before = shipped.read_bytes()
        async with desk(folder) as (_, door), page(door, uri=(folder / "belt.style").as_uri()) as one:
            assert all("link" not in file["name"] for file in (await one.ask("tapeline/opening", tab=one.tab))["files"])
            for uri in (
                outside.as_uri(),
                (folder / "link.style").as_uri(),
                f"{folder.as_uri()}/../outside.style",
                "file:///etc/passwd",
            ):
                for method in ("read", "save", "save_as", "keep", "drop"):
                    assert (await one.of(method, uri, version=1, base="", name="x"))["code"] == -32602, (uri, method)
            for name in ("../outside", "/elsewhere/outside", "a/b", "", ".hidden", "x" * 200):
                answer = await one.of("save_as", (folder / "belt.style").as_uri(), version=1, name=name)
                assert (answer["saved"], answer["why"]) == (False, "refused"), name
            uri = shipped.as_uri()
            read = await one.of("read", uri)
            assert read["shipped"]
            await one.say(
                "textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "tapeline", "version": 1, "text": read["text"]}}
            )
            assert (await one.of("save", uri, version=1, base=read["base"]))["why"] == "shipped"
            assert (await one.of("keep", uri, version=1, base=read["base"]))["kept"]
            assert (folder / ".half_circle_skirt.style.0000aaaa.unsaved").is_file()
            assert (await one.of("save_as", uri, version=1, name="my_half_circle"))["saved"]
            assert not list(folder.glob(".half*")) and shipped.read_bytes() == before
        assert outside.read_text() == BELT

    asyncio.run(trial())


def test_a_folder_that_cannot_be_written_is_said(folder, monkeypatch):
    def full(*args, **more):
        raise OSError(28, "No space left on device")

    async def trial():
        uri = (folder / "belt.style").as_uri()
        async with desk(folder) as (_, door), page(door, uri=uri) as one:
            await one.write(uri, LONGER, 2)
            monkeypatch.setattr(saving, "write_whole", full)
            monkeypatch.setattr(saving, "keep_copy", full)
            assert "no space left" in (await one.of("save", uri, version=2, base=one.base))["words"]
            assert "no space left" in (await one.of("keep", uri, version=2, base=one.base))["words"]
        assert (folder / "belt.style").read_text() == BELT

    asyncio.run(trial())


def test_line_ends_and_the_mark_of_a_file_stay(folder):
    async def trial():
        file = folder / "belt.style"
        file.write_bytes(b"\xef\xbb\xbf" + BELT.replace("\n", "\r\n").encode())
        async with desk(folder) as (_, door), page(door, uri=file.as_uri()) as one:
            await one.write(file.as_uri(), LONGER, 2)
            assert (await one.of("save", file.as_uri(), version=2, base=one.base))["saved"]
        assert file.read_bytes() == b"\xef\xbb\xbf" + LONGER.replace("\n", "\r\n").encode()

    asyncio.run(trial())


def test_a_server_that_is_killed_loses_nothing_and_is_found_again(folder):
    environment = {**os.environ, "PYTHONPATH": str(Path(tapeline.__file__).parents[1]), "XDG_CACHE_HOME": str(folder.parent / "cache")}
    words = [sys.executable, "-m", "tapeline.desk.cli", "open", "belt.style", "--no-browser"]

    def start(*port):
        started = subprocess.Popen([*words, *port], cwd=folder, env=environment, stdout=subprocess.PIPE, text=True)
        address = started.stdout.readline().split()[-1]
        assert started.stdout.readline() == "Ctrl-C ends it.\n"
        return started, address

    class Reached:
        def __init__(self, address):
            self.port, self.token = int(address.split("/")[2].split(":")[1]), address.split("#")[1]

    async def write(address):
        uri = (folder / "belt.style").as_uri()
        async with page(Reached(address), uri=uri) as one:
            await one.write(uri, LONGER, 2)
            assert (await one.of("keep", uri, version=2, base=one.base))["kept"]

    async def look(address):
        uri = (folder / "belt.style").as_uri()
        async with page(Reached(address), uri=uri) as one:
            (kept,) = (await one.of("read", uri))["unsaved"]
            assert kept["own"] and kept["text"] == LONGER and kept["base"] == one.base

    first, address = start("--port", str(free_port()))
    try:
        asyncio.run(write(address))
    finally:
        first.kill()
        first.wait()
    second, again = start()
    try:
        assert again == address
        asyncio.run(look(again))
        second.send_signal(signal.SIGINT)
        told, _ = second.communicate(timeout=20)
        assert second.returncode == 0
        assert told == "The desk is closed; what was not saved is kept beside the style.\n"
    finally:
        second.kill()


def test_copies_that_are_none_are_passed_over(tmp_path):
    from datetime import datetime

    file = tmp_path / "belt.style"
    keep_copy(file, "0000aaaa", "", "text\nof two lines", datetime(2026, 11, 30, 14, 5))
    (tmp_path / ".belt.style.0000bbbb.unsaved").write_text("no head")
    (tmp_path / ".belt.style.0000cccc.unsaved").write_text('{"base": "", "at": 3')
    (tmp_path / ".belt.style.other.unsaved").write_text('{"base": "", "at": ""}\n')
    (tmp_path / ".belt.style.0000dddd.unsaved").symlink_to("/etc/passwd")
    assert [(copy.tab, copy.text) for copy in copies(file)] == [("0000aaaa", "text\nof two lines")]


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    file = tmp_path / "belt.style"
    file.write_text("old")

    def broken(*args):
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", broken)
        with pytest.raises(OSError):
            write_whole(file, b"new")
    assert file.read_text() == "old" and list(tmp_path.iterdir()) == [file]
    with pytest.raises(FileExistsError):
        write_whole(file, b"new", new=True)
    assert file.read_text() == "old" and list(tmp_path.iterdir()) == [file]
