"""The desk as others meet it: another name, another origin, no token, paths that lead away, messages without end."""

import asyncio
import re
import socket

import pytest
from desks import BELT, desk, page
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed, InvalidStatus

from tapeline.serving import safety
from tapeline.serving.admitting import HERE, opens, refusal
from tapeline.serving.page import PAGE, code_page
from tapeline.serving.safety import open_door


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "belt.style").write_text(BELT)
    (tmp_path / "secret.txt").write_text("secret")
    return tmp_path


async def asked(door, path="/", method="GET", host=None, body=b"", **headers):
    """(status, headers, body) of a request, written by hand so that no client sets anything right."""
    reader, writer = await asyncio.open_connection(HERE, door.port)
    lines = [f"{method} {path} HTTP/1.1", f"Host: {host or f'{HERE}:{door.port}'}", "Connection: close", f"Content-Length: {len(body)}"]
    lines += [f"{name.replace('_', '-')}: {value}" for name, value in headers.items()]
    writer.write("\r\n".join(lines).encode() + b"\r\n\r\n" + body)
    answer = await asyncio.wait_for(reader.read(), 20)
    writer.close()
    head, _, rest = answer.partition(b"\r\n\r\n")
    first, *fields = head.decode().split("\r\n")
    return int(first.split()[1]), {name.lower(): value for name, _, value in (field.partition(": ") for field in fields)}, rest


def test_only_the_own_name_and_origin_are_answered(folder):
    async def trial():
        async with desk(folder) as (_, door):
            own = f"http://{HERE}:{door.port}"
            assert (await asked(door))[0] == 200
            assert (await asked(door, host=f"localhost:{door.port}"))[0] == 200
            assert (await asked(door, Origin=own, Sec_Fetch_Site="same-origin"))[0] == 200
            for host in ("evil.example", f"evil.example:{door.port}", HERE, f"{HERE}:1", f"{HERE}:{door.port}.evil.example", "[::1]"):
                status, _, body = await asked(door, host=host)
                assert status == 403 and b"own name" in body, host
            for origin in ("http://evil.example", "null", "http://127.0.0.1", f"https://{HERE}:{door.port}", f"{own}.evil.example"):
                assert (await asked(door, Origin=origin))[0] == 403, origin
            for site in ("cross-site", "same-site"):
                assert (await asked(door, Sec_Fetch_Site=site))[0] == 403
            for method in ("POST", "PUT", "DELETE", "OPTIONS", "TRACE"):
                assert (await asked(door, method=method, body=b"x=1"))[0] == 403, method

    asyncio.run(trial())


def test_every_answer_bears_the_policy(folder):
    async def trial():
        async with desk(folder) as (_, door):
            for path, host in (("/", None), ("/desk.js", None), ("/codes/N201", None), ("/none", None), ("/", "evil.example")):
                _, headers, _ = await asked(door, path, host=host)
                policy = headers["content-security-policy"]
                assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy and "unsafe" not in policy
                assert headers["referrer-policy"] == "no-referrer" and headers["x-content-type-options"] == "nosniff"
                assert headers["cache-control"] == "no-store" and headers["x-frame-options"] == "DENY"
                assert "evil" not in policy and "access-control-allow-origin" not in headers
            _, headers, _ = await asked(door)
            assert f"connect-src ws://{HERE}:{door.port}/language;" in headers["content-security-policy"]

    asyncio.run(trial())


def test_nothing_is_served_but_the_page(folder):
    async def trial():
        async with desk(folder) as (_, door):
            for path in (
                "/secret.txt", "/../secret.txt", "/%2e%2e/secret.txt", "/..%2fpage.py", "/codes/../desk.js", "/codes/..%2f..%2fversion",
                "/codes/", "/editor/", "/editor/build.mjs", "/codes/N99", "/belt.style", "//etc/passwd", "/%00", "/desk.js%00.html",
            ):  # fmt: skip
                status, _, body = await asked(door, path)
                assert status in (400, 404) and b"secret" not in body, path
            status, headers, body = await asked(door, "/codes/N201")
            assert status == 200 and headers["content-type"].startswith("text/html") and b"<script" not in body

    asyncio.run(trial())


def test_the_socket_opens_to_the_own_page_with_the_token_alone(folder):
    async def refused(address, origin):
        with pytest.raises(InvalidStatus) as raised:
            async with connect(address, origin=origin):
                pass
        return raised.value.response.status_code

    async def trial():
        async with desk(folder) as (_, door):
            own, way = f"http://{HERE}:{door.port}", f"ws://{HERE}:{door.port}/language"
            for query in ("", "?token=", "?token=x", f"?token={door.token}x", f"?token={door.token[:-1]}", f"?other={door.token}"):
                assert await refused(way + query, own) == 403, query
            for origin in ("http://evil.example", "null", None, f"http://localhost:{door.port}", "http://127.0.0.1"):
                assert await refused(f"{way}?token={door.token}", origin) == 403, origin
            assert await refused(f"ws://{HERE}:{door.port}/other?token={door.token}", own) == 403
            async with connect(f"{way}?token={door.token}", origin=own):
                pass

    asyncio.run(trial())


def test_a_message_without_end_and_one_that_is_none_do_no_harm(folder, monkeypatch):
    monkeypatch.setattr("tapeline.serving.page.MOST_CHARACTERS", 100_000)

    async def trial():
        async with desk(folder) as (_, door):
            async with page(door) as one:
                with pytest.raises(ConnectionClosed):
                    await one.socket.send("x" * 200_000)
                    while True:
                        await one.hear()
            async with page(door) as one:
                await one.socket.send("[" * 50_000)
                await one.socket.send('{"jsonrpc": "2.0", "id": 99, "method": "tapeline/save", "params": [1]}')
                assert (await one.ask("tapeline/read", uri=7, tab=one.tab))["code"] == -32602
                assert (await one.ask("tapeline/read", uri="file:///x.style", tab="../../x"))["code"] == -32602
                assert (await one.ask("tapeline/alive")) == {}
                with pytest.raises(ConnectionClosed):
                    await one.socket.send(b"bytes")
                    while True:
                        await one.hear()
            async with page(door) as one:
                assert (await one.ask("tapeline/alive")) == {}

    asyncio.run(trial())


def test_it_is_bound_to_this_machine_alone(folder):
    door = open_door(folder)
    try:
        assert door.listening.getsockname()[0] == "127.0.0.1"
        assert len(door.token) >= 43 and door.address == f"http://127.0.0.1:{door.port}/#{door.token}"
    finally:
        door.listening.close()


def test_a_folder_has_its_token_and_port_again_and_another_has_its_own(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    doors = [open_door(tmp_path / "one"), open_door(tmp_path / "two")]
    for door in doors:
        door.listening.close()
    again = [open_door(tmp_path / "two"), open_door(tmp_path / "one")]
    for door in again:
        door.listening.close()
    assert [(door.port, door.token) for door in reversed(again)] == [(door.port, door.token) for door in doors]
    assert doors[0].token != doors[1].token and doors[0].port != doors[1].port
    kept = list((tmp_path / "cache").rglob("*.door"))
    assert kept and all(path.stat().st_mode & 0o077 == 0 for path in kept)


def test_a_port_that_is_taken_is_passed_over_unless_it_was_asked_for(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    with socket.socket() as other:
        other.bind((HERE, 0))
        other.listen()
        taken = other.getsockname()[1]
        monkeypatch.setattr(safety, "USUAL_PORT", taken)
        door = open_door(tmp_path)
        door.listening.close()
        assert door.port != taken
        with pytest.raises(OSError):
            open_door(tmp_path, taken)


def test_the_token_is_compared_whole():
    assert (
        opens(b"token=abc", "abc") and not opens(b"token=ab", "abc") and not opens(b"", "abc") and not opens("token=é".encode(), "abc")
    )
    assert refusal("GET", {}, 80) and refusal("GET", {"host": f"{HERE}:80"}, 80, wants_origin=True)


def test_texts_are_never_markup_in_the_page():
    """Nothing of ours is put into the page but as text; the page of a code is escaped."""
    for module in PAGE.glob("*.js"):
        if module.name != "editor.bundle.js":
            text = module.read_text()
            assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|\.on\w+ = \"", text), (
                module.name
            )
    page = (PAGE / "index.html").read_text()
    assert not re.search(r"<style|style=|\son\w+=|javascript:|https?:", page) and all(
        "src=" in script for script in re.findall(r"<script[^>]*>", page)
    )
    shown = code_page("N201", "# A <b>\n\nSay `x < y`.\n\n```style\n<script>alert(1)</script>\n```\n")
    assert "<script" not in shown and "<h1>A &lt;b&gt;</h1>" in shown and "<code>x &lt; y</code>" in shown
