"""A desk served in this process, and a page that speaks to it as the real one does, without a browser."""

import asyncio
import json
import socket
from contextlib import asynccontextmanager

from websockets.asyncio.client import connect

from tapeline.serving.page import serve_page
from tapeline.serving.safety import open_door
from tapeline.serving.saving import ServedFolder

PATIENCE = 20  # seconds

BELT = """language 1
style belt "Belt"
use skirt
measure waist
long = waist + 4 cm
piece belt "Belt" from straight_band (long, 5 cm, 3 cm)
allow
    others 1 cm
"""


def free_port():
    """A port that no other test will take meanwhile: those of the program itself are lower."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


@asynccontextmanager
async def desk(folder, style="belt.style", **more):
    """(the folder as it is served, the door it is served at)."""
    served = ServedFolder(folder.resolve(), (folder / style).resolve(), **more)
    door = open_door(served.folder)
    ready = asyncio.Event()
    serving = asyncio.ensure_future(serve_page(served, door, ready.set))
    await asyncio.wait_for(ready.wait(), PATIENCE)
    try:
        yield served, door
    finally:
        serving.cancel()
        await asyncio.gather(serving, return_exceptions=True)
        door.listening.close()


class Page:
    """One tab: what it asks is answered by name, and what it is told is kept."""

    def __init__(self, socket, tab):
        self.socket, self.tab = socket, tab
        self.number, self.told, self.answers = 0, [], {}

    async def hear(self):
        message = json.loads(await asyncio.wait_for(self.socket.recv(), PATIENCE))
        if "method" in message:
            self.told.append((message["method"], message["params"]))
        else:
            self.answers[message["id"]] = message
        return message

    async def ask(self, method, **params):
        """The result, or the error that came in its place."""
        self.number += 1
        await self.say(method, params, id=self.number)
        while self.number not in self.answers:
            await self.hear()
        answer = self.answers.pop(self.number)
        return answer["result"] if "result" in answer else answer["error"]

    async def say(self, method, params, **more):
        await self.socket.send(json.dumps({"jsonrpc": "2.0", "method": method, "params": params, **more}))

    async def hears(self, method):
        """What is told next under a name."""
        while not any(name == method for name, _ in self.told):
            await self.hear()
        return next(self.told.pop(at)[1] for at, (name, _) in enumerate(self.told) if name == method)

    async def write(self, uri, text, version):
        await self.say("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [{"text": text}]})

    async def of(self, method, uri, **params):
        return await self.ask(f"tapeline/{method}", uri=uri, tab=self.tab, **params)


@asynccontextmanager
async def page(door, tab="0000aaaa", uri=None):
    """A tab with a text open, of version 1, if one is named."""
    own = f"http://127.0.0.1:{door.port}"
    async with connect(f"ws{own[4:]}/language?token={door.token}", origin=own, max_size=None) as socket:
        one = Page(socket, tab)
        await one.ask("initialize", processId=None, rootUri=None, capabilities={})
        await one.say("initialized", {})
        await one.ask("tapeline/opening", tab=tab)
        if uri is not None:
            read = await one.of("read", uri)
            await one.say(
                "textDocument/didOpen",
                {"textDocument": {"uri": uri, "languageId": "tapeline", "version": 1, "text": read["text"]}},
            )
            one.base = read["base"]
        yield one
