"""The drawing half of the page, as a client asks for it: what can be slid, the draft, and all that is told of it."""

import asyncio
import json
import os
import xml.etree.ElementTree as ElementTree
from contextlib import asynccontextmanager

import pytest

import tapeline
from tapeline.bodies.card import read_card
from tapeline.serving.documents import Documents
from tapeline.serving.language import language_server
from tapeline.serving.over import over_messages
from tapeline.serving.worker import Worker
from tapeline.source.world import standard_folder

STYLES = sorted(path for path in standard_folder("styles").glob("*.style"))
SKIRT = (standard_folder("styles") / "straight_skirt.style").read_text(encoding="utf-8")
SVG = '<svg xmlns="http://www.w3.org/2000/svg">{}</svg>'


class Refused(Exception):
    """What the server says of a request that it refuses."""


class Page:
    """Speaks to a server of this process in plain JSON, as the page does."""

    def __init__(self):
        self.worker = Worker()
        self.to_server, self.to_page = asyncio.Queue(), asyncio.Queue()
        self.serving = asyncio.create_task(
            over_messages(language_server(Documents(), self.worker), self.to_server.get, self.to_page.put)
        )
        self.number = 0

    def tell(self, method, params):
        self.to_server.put_nowait(json.dumps({"jsonrpc": "2.0", "method": method, "params": params}))

    async def ask(self, method, params):
        self.number += 1
        self.to_server.put_nowait(json.dumps({"jsonrpc": "2.0", "id": self.number, "method": method, "params": params}))
        while True:
            said = json.loads(await asyncio.wait_for(self.to_page.get(), 30))
            if said.get("id") == self.number and "method" not in said:
                if "error" in said:
                    raise Refused(said["error"]["message"])
                return said["result"]

    def change(self, uri, version, text):
        self.tell("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [{"text": text}]})

    async def close(self):
        self.to_server.put_nowait(None)
        await self.serving
        self.worker.close()


@asynccontextmanager
async def page_of(uri, text, body=None):
    page = Page()
    try:
        options = {"card": body} if body else None
        await page.ask("initialize", {"capabilities": {}, "processId": None, "rootUri": None, "initializationOptions": options})
        page.tell("initialized", {})
        document = {"uri": uri, "languageId": "tapeline", "version": 1, "text": text}
        page.tell("textDocument/didOpen", {"textDocument": document})
        yield page
    finally:
        await page.close()


def ask(folder, *questions, text=SKIRT, name="straight_skirt", body=None):
    """The answers to (method, params) of a text in a folder, one after the other; of what is refused what is said."""
    path = folder / f"{name}.style"
    path.write_text(text, encoding="utf-8")
    uri = path.as_uri()

    async def session():
        async with page_of(uri, text, body) as page:
            answers = []
            for method, params in questions:
                try:
                    answers.append(await page.ask(f"tapeline/{method}", {"uri": uri, **params}))
                except Refused as refused:
                    answers.append(str(refused))
            return answers

    return asyncio.run(session())


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """Of the skirt: its sheet, its draft at rest, and with a longer length while it moves."""
    return ask(
        tmp_path_factory.mktemp("skirt"),
        ("sheet", {}),
        ("draft", {"resting": True}),
        ("draft", {"choices": {"length": 700.0}}),
        ("ledgers", {}),
        ("links", {}),
    )


def test_each_measure_and_choice_has_a_slider_within_its_range(told):
    sheet = told[0]
    sliders = {slider["name"]: slider for slider in [*sheet["measures"], *sheet["choices"]]}
    assert {"waist", "hip", "waist_to_hip", "length", "lined", "vented"} <= set(sliders)
    for slider in sliders.values():
        assert slider["low"] <= slider["value"] <= slider["high"] and slider["step"] > 0
    assert (sliders["length"]["low"], sliders["length"]["high"], sliders["length"]["value"]) == (350, 1000, 600)
    assert sliders["lined"]["kind"] == "condition" and sliders["length"]["step"] == 5
    assert sliders["waist"]["taken"] and {"maud", "nell"} <= {body["name"] for body in sheet["bodies"]}
    assert "quay_row" in {house["name"] for house in sheet["houses"]} & {table["name"] for table in sheet["tables"]}


def test_pieces_keep_their_place_while_the_hand_moves(told):
    before, moved = told[1], told[2]
    assert not before["failed"] and not moved["failed"] and before["cautions"] is not None and moved["cautions"] is None
    places = [{piece["name"]: (piece["x"], piece["y"]) for piece in answer["pieces"]} for answer in (before, moved)]
    assert places[0] == places[1]
    keys = [{piece["name"]: piece["key"] for piece in answer["pieces"]} for answer in (before, moved)]
    assert keys[0]["front"] != keys[1]["front"] and keys[0]["band"] == keys[1]["band"]
    assert moved["shown"] == {"length": "70 cm"}
    for piece in moved["pieces"]:
        group = ElementTree.fromstring(SVG.format(piece["svg"]))
        assert any(element.get("data-line") == "cut" for element in group.iter())


def test_pieces_on_the_sheet_do_not_meet(told):
    boxes = []
    for piece in told[1]["pieces"]:
        left, top, right, low = piece["box"]
        boxes.append((piece["x"] + left, piece["y"] + top, piece["x"] + right, piece["y"] + low))
        assert boxes[-1][0] >= 0 and boxes[-1][2] <= told[1]["width"] and boxes[-1][3] <= told[1]["height"]
    for k, (left, top, right, low) in enumerate(boxes):
        for other_left, other_top, other_right, other_low in boxes[k + 1 :]:
            assert right <= other_left or other_right <= left or low <= other_top or other_low <= top


def test_the_ledgers_are_those_of_the_draft(told):
    tables = {table["title"]: table for table in told[3]["tables"]}
    girths = next(table for title, table in tables.items() if title.startswith("Girth"))
    reading = tapeline.Session().read(SKIRT, "straight_skirt.style")
    (draft,) = reading.draft([standard_folder("styles") / "bodies" / "maud.toml"], accept=True)
    sewn = {row.level: draft.house.show(float(row.sewn[0]), "cm") for row in draft.ledgers.girths}
    at = girths["heads"].index("sewn")
    assert {row[0]: row[at] for row in girths["rows"]} == sewn


def test_a_line_leads_to_its_rule_and_a_rule_to_what_rests_on_it(told):
    links = told[4]
    line = next(number for number, words in enumerate(SKIRT.splitlines(), 1) if words.startswith("hip_quarter"))
    drawn = {(one["piece"], one["name"]) for one in links["held"][f"straight_skirt.style:{line}"]}
    assert {("front", "side"), ("back", "side")} <= drawn
    assert any(one["piece"] == "front" for one in links["own"]["skirt.style:46"])


def test_a_figure_is_read_as_it_is_typed(tmp_path):
    answers = ask(
        tmp_path,
        ("figure", {"name": "length", "text": "24 1/2 in"}),
        ("figure", {"name": "length", "text": "62,5"}),
        ("figure", {"name": "length", "text": "long"}),
        ("figure", {"name": "length", "text": "3 m"}),
        ("figure", {"name": "widht", "text": "3"}),
    )
    assert answers[0]["value"] == pytest.approx(24.5 * 25.4) and answers[1]["value"] == 625
    assert "cannot be read as length; write it like 60 cm" in answers[2]
    assert answers[3]["value"] == 1000 and "between 35 cm and 100 cm" in answers[3]["words"]
    assert answers[4] == "The style knows no widht."


def test_why_construction_comparing_and_sizes(tmp_path):
    table = (standard_folder("stdlib") / "sizes" / "quay_row.csv").as_uri()
    why, story, compared, sizes, card = ask(
        tmp_path,
        ("why", {"place": "front.hip_side"}),
        ("construction", {"piece": "back"}),
        ("compare", {"held": {}, "now": {"choices": {"length": 700.0}}}),
        ("sizes", {"table": table}),
        ("card", {"measures": {"waist": 900.0}, "choices": {"length": 700.0}}),
    )
    assert any("hip_quarter = " in line for line in why["lines"]) and why["rules"]
    assert story["pieces"][0] == "front" and len(story["stages"]) > 10
    named = [name for stage in story["stages"] for name in stage["names"]]
    assert {"waist_centre", "hem", "side"} <= set(named)
    assert all(stage["rule"]["line"] > 0 and stage["words"] for stage in story["stages"])
    hem = next(place for place in compared["places"] if place["piece"] == "front" and "hem" in place["name"])
    assert hem["words"] == "down 10 cm" and hem["by"] == pytest.approx([0, 100], abs=1e-6)
    assert [size["name"] for size in sizes["sizes"]][:2] == ["24", "26"] and set(sizes["sizes"][0]["measures"]) == {
        "waist",
        "hip",
        "waist_to_hip",
    }
    reading = tapeline.Session().read(SKIRT, "straight_skirt.style")
    read, said = read_card(tapeline.Source("again.toml", card["card"]), reading.sound.measurements)
    assert read is not None and not [one for one in said if one.severity == "error"]
    assert read.values["waist"] == pytest.approx(900) and card["options"] == "--set length='70 cm'"
    assert card["differs"] == ["waist", "length"]


def test_papers_are_written_beside_the_style_alone(tmp_path):
    first, again, strange = ask(
        tmp_path, ("papers", {"kinds": ["svg"]}), ("papers", {"kinds": ["svg"]}), ("papers", {"kinds": ["../svg"]})
    )
    folder = tmp_path / "straight_skirt-papers"
    assert sorted(first["written"]) == sorted(path.name for path in folder.iterdir()) == ["pattern.json", "straight_skirt.svg"]
    assert again["written"] == first["written"] and strange.startswith("There are no such papers")


def test_what_is_wrong_is_told_and_the_latest_drawing_stays(tmp_path):
    uri = (tmp_path / "straight_skirt.style").as_uri()

    async def session():
        async with page_of(uri, SKIRT) as page:

            async def draft(**params):
                return await page.ask("tapeline/draft", {"uri": uri, **params})

            good, short = await draft(), await draft(choices={"length": 10.0})
            page.change(uri, 2, SKIRT.replace("waist + waist_ease", "waste + waist_ease"))
            broken, sheet = await draft(), await page.ask("tapeline/sheet", {"uri": uri})
            page.change(uri, 3, SKIRT)
            return good, short, broken, sheet, await draft(have={piece["name"]: piece["key"] for piece in good["pieces"]})

    good, short, broken, sheet, again = asyncio.run(session())
    assert not good["failed"]
    assert short["failed"] and "length" in short["message"] and "D402" in {one["code"] for one in short["cautions"]}
    assert broken["failed"] and "not in order" in broken["message"] and broken["version"] == 2
    assert sheet["measures"] and not again["failed"]
    assert [piece["svg"] for piece in again["pieces"]] == [None] * len(good["pieces"])


@pytest.mark.parametrize(
    "params", [None, [], {"uri": 3}, {"measures": [1]}, {"measures": {"hip": "wide"}}, {"choices": {"length": 1e999}}]
)
def test_what_does_not_fit_is_refused_in_a_sentence(tmp_path, params):
    uri = (tmp_path / "straight_skirt.style").as_uri()

    async def session():
        async with page_of(uri, SKIRT) as page:
            return await page.ask("tapeline/draft", {"uri": uri, **params} if isinstance(params, dict) else params)

    with pytest.raises(Refused, match=r"\.$"):
        asyncio.run(session())


@pytest.mark.parametrize("path", STYLES if os.environ.get("EXPLORE") else STYLES[::3], ids=lambda path: path.stem)
def test_every_shipped_style_is_drawn_and_told(tmp_path, path):
    sheet, drawn, links, story = ask(
        tmp_path,
        ("sheet", {}),
        ("draft", {"resting": True}),
        ("links", {}),
        ("construction", {}),
        text=path.read_text(encoding="utf-8"),
        name=path.stem,
        body="nell",
    )
    assert not drawn["failed"], drawn["message"]
    assert sheet["choices"] and all(slider["low"] <= slider["value"] <= slider["high"] for slider in sheet["choices"])
    names = {piece["name"] for piece in drawn["pieces"]}
    assert {one["piece"] for lines in links["own"].values() for one in lines} == names
    assert story["stages"]


def test_places_of_a_slider_are_drafted_ahead_but_not_counts(tmp_path):
    text = (standard_folder("styles") / "vented_pencil_skirt.style").read_text(encoding="utf-8")
    values = [50.0, 55.0, 60.0]
    lengths, darts, strange, moved = ask(
        tmp_path,
        ("ahead", {"name": "hip_ease", "values": values}),
        ("ahead", {"name": "back_darts", "values": [1, 2]}),
        ("ahead", {"name": "nothing", "values": values}),
        ("draft", {"choices": {"hip_ease": 55.0}}),
        text=text,
        name="vented_pencil_skirt",
    )
    assert lengths == {"drafted": 3} and darts == {"drafted": 0} and strange == "The style knows no nothing."
    assert not moved["failed"] and moved["shown"] == {"hip_ease": "5.5 cm"}
