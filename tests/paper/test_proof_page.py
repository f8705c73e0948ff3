"""The proof page as a file: what it says, what it links, and that it holds and asks for nothing else.

`test_proof_browser.py` puts it into a real browser.  Here it is read by the standard library's parser and its drawing by
svgelements.
"""

from __future__ import annotations

import hashlib
import json
import re
from html.parser import HTMLParser

import pytest
import svgelements
from elsewhere import printed_elsewhere
from proofs import namesake, page, proof, unruly

from tapeline.paper.drawing.model import Group, Stroke
from tapeline.paper.drawing.pieces import draw_piece
from tapeline.paper.proof import page as proof_page
from tapeline.paper.proof.page import is_ours, papers, write_page
from tapeline.paper.proof.rules import RuleTexts, strokes_of
from tapeline.source.quantity import read_length

DRAFTS = [("corselet_skirt", "nell"), ("half_circle_skirt", "maud"), ("waisted_dress", "maud"), ("pleated_skirt", "nell")]
VOID = {"meta", "input", "br", "img", "link", "hr"}


class Element:
    def __init__(self, tag: str, attributes: dict[str, str | None], parent: Element | None):
        self.tag, self.attributes, self.parent, self.children = tag, attributes, parent, []

    def __getitem__(self, name: str):
        return self.attributes.get(name)

    def all(self, *tags: str) -> list[Element]:
        found = [self] if self.tag in tags or not tags else []
        for child in self.children:
            if isinstance(child, Element):
                found += child.all(*tags)
        return found

    def words(self) -> str:
        return "".join(one.words() if isinstance(one, Element) else one for one in self.children)


class Reader(HTMLParser):
    """A tree of elements; a closing tag that closes nothing is a fault."""

    def __init__(self, text: str):
        super().__init__()
        self.root = self.now = Element("", {}, None)
        self.feed(text)
        self.close()
        assert self.now is self.root, f"<{self.now.tag}> is left open"

    def handle_starttag(self, tag, attrs):
        assert len(dict(attrs)) == len(attrs), f"an attribute of <{tag}> is given twice"
        self.now.children.append(Element(tag, dict(attrs), self.now))
        if tag not in VOID:
            self.now = self.now.children[-1]

    def handle_startendtag(self, tag, attrs):
        self.now.children.append(Element(tag, dict(attrs), self.now))

    def handle_endtag(self, tag):
        assert self.now.tag == tag, f"</{tag}> closes <{self.now.tag}>"
        self.now = self.now.parent

    def handle_data(self, data):
        self.now.children.append(data)


@pytest.fixture(scope="module", params=DRAFTS, ids=" ".join)
def read(request):
    return request.param, Reader(page(*request.param)).root


def pieces_of(root: Element) -> dict[str, list[Element]]:
    """The lines of each piece in the drawing."""
    sheet = next(one for one in root.all("div") if one["id"] == "sheet")
    return {group["data-piece"]: group.all("path") for group in sheet.all("g") if group["data-piece"]}


def data_of(root: Element) -> dict:
    return json.loads(next(one for one in root.all("script") if one["id"] == "page_data").words())


def rows_of(root: Element) -> dict[str, Element]:
    return {row["id"]: row for row in root.all("li") if row["data-rule"]}


# ------------------------------------------------------------------------------------------------------ the links


def test_every_line_is_tied_to_the_rule_that_it_tells(read):
    _, root = read
    rows, links = rows_of(root), data_of(root)["links"]
    told = 0
    for name, paths in pieces_of(root).items():
        assert len(links["pieces"][name]) == len(paths)
        for path, (own, held) in zip(paths, links["pieces"][name], strict=True):
            assert (path["data-rule"] or "") == (rows[own]["data-rule"] if own else "")
            assert set(links["sets"][held]) <= set(rows)
            assert own not in links["sets"][held]
            told += bool(own)
    assert told > 3


def test_the_texts_are_shown_whole_and_in_order(read):
    (style, body), root = read
    source = proof(style, body).sources[0]
    shown = [(row["value"], next(iter(row.all("code"))).words()) for row in rows_of(root).values() if row["id"].startswith("t0_")]
    assert shown == [(str(n), line or " ") for n, line in enumerate(source.text.splitlines(), 1)]


CHANGED = [
    ("corselet_skirt", "nell", "length=80 cm"),
    ("corselet_skirt", "nell", "draw_in=2 cm"),
    ("corselet_skirt", "nell", "dip_by=3 cm"),
    ("corselet_skirt", "nell", "intake=1 cm"),
    ("corselet_skirt", "nell", "back_intake=1 cm"),
]


@pytest.mark.parametrize("style, body, setting", CHANGED, ids=[one[2].partition("=")[0] for one in CHANGED])
def test_whatever_moves_with_a_choice_rests_on_its_line(style, body, setting):
    """Each choice is set otherwise and drafted again: every line that has moved must be tied to the rule of the choice.

    A line is paired with that of its kind and name, since a choice may also say how many darts there are.
    """
    before, after = proof(style, body), proof(style, body, (setting,))
    drawn = {work: [draw_piece(one, 0, work.heading) for one in work.finished.pieces] for work in (before, after)}
    texts = RuleTexts(before, drawn[before])
    row, _ = texts.link_to(before.plan.choices[setting.partition("=")[0]].span)
    links, moved, rests = texts.links(), 0, 0
    for old, new in zip(drawn[before], drawn[after], strict=True):
        fellows = by_name(new)
        for k, one in enumerate(strokes_of(old)):
            of_name = fellows.get((one.line, one.name))
            other = of_name.pop(0) if of_name else None
            own, held = links["pieces"][old.name][k]
            tied = row == own or row in links["sets"][held]
            rests += tied
            if one.line in ("sign", "grain"):  # where these stand is finishing's choice, not a rule's
                continue
            across = one.line != "construction"  # a level is its height; its ends are where the outline happens to be
            if other is None or not same(one.commands, other.commands, across):
                moved += 1
                assert tied, f"{old.name}: {one.line} {one.name} moved, but is not tied to {row}"
    assert moved > 0
    assert rests < sum(len(rows) for rows in links["pieces"].values())  # not simply all


def by_name(piece: Group) -> dict[tuple[str, str], list[Stroke]]:
    found: dict[tuple[str, str], list[Stroke]] = {}
    for stroke in strokes_of(piece):
        found.setdefault((stroke.line, stroke.name), []).append(stroke)
    return found


def same(commands, others, across: bool) -> bool:
    if [one[0] for one in commands] != [one[0] for one in others]:
        return False
    first = 1 if across else 2
    pairs = [pair for one, other in zip(commands, others, strict=True) for pair in zip(one[first:], other[first:], strict=True)]
    return all(abs(a - b) < 1e-3 for a, b in pairs)


def test_a_line_that_draws_nothing_is_no_button(read):
    _, root = read
    rows, links = rows_of(root), data_of(root)["links"]
    tied = {own for drawn in links["pieces"].values() for own, _ in drawn} | {
        name for drawn in links["pieces"].values() for _, held in drawn for name in links["sets"][held]
    }
    assert {name for name, row in rows.items() if row.all("button")} == tied - {""}


def test_two_files_of_one_name_are_told_apart():
    """A style may bear the name of the library that it uses; a stroke tells the file's name alone."""
    work = namesake()
    drawn = [draw_piece(one, 0, work.heading) for one in work.finished.pieces]
    texts = RuleTexts(work, drawn)
    names = [source.name for source in texts.sources]
    assert names == ["quay/corset.style", "stdlib/corset.style", "stdlib/measurements.style", "stdlib/skirt.style"]
    library = names.index("stdlib/corset.style")
    front, strokes = texts.links()["pieces"]["front"], strokes_of(drawn[0])
    for name, text in (("cut", 0), ("grain", 0), ("dart1", library), ("side", library), ("hem", library)):
        k = next(k for k, stroke in enumerate(strokes) if stroke.name == name and stroke.line != "notch")
        span = next(span for span in spans_of(work) if texts.link_to(span)[0] == front[k][0])
        assert front[k][0] == f"t{text}_{strokes[k].rule.rpartition(':')[2]}" and span.source is texts.sources[text]


def spans_of(work):
    yield from (step.span for step in work.plan.steps)
    yield from (piece.span for piece in work.plan.pieces)
    yield from (dart.span for one in work.finished.pieces for dart in one.piece.darts())


# ------------------------------------------------------------------------------------------------------ the figures


def test_lengths_of_edges_are_those_of_their_lines(read):
    """An edge without a dart is as long sewn as its line in the drawing, measured by svgelements."""
    (style, body), root = read
    work = proof(style, body)
    drawn, checked = pieces_of(root), 0
    tables = {one["data-shows"]: [] for one in root.all("button") if one["data-edge-shown"]}
    for button in root.all("button"):
        if button["data-edge-shown"]:
            tables[button["data-shows"]].append((button["data-edge-shown"], button.parent.parent))
    for name, edges in tables.items():
        piece = next(one.piece for one in work.finished.pieces if one.piece.name == name)
        for edge, row in edges:
            lines = [path for path in drawn[name] if path["data-edge"] == edge and path["data-line"] != "fold"]
            if piece.edge(edge).darts or not lines:
                continue
            shown = row.all("td")[0].words()
            length = svgelements.Path(lines[0]["d"]).length(error=1e-6)
            rounding = 25.4 / 32 if work.unit == "in" else 0.05
            assert float(read_length(shown.lstrip("~"))[0]) == pytest.approx(length, abs=rounding + 0.01)
            checked += 1
    assert checked >= 2


def test_what_the_style_looks_out_for_is_answered():
    work = proof("corselet_skirt", "nell")
    root = Reader(write_page(work)).root
    rows = [row.words() for row in next(one for one in root.all("section") if one["id"] == "checks").all("tr")]
    listed = [one for one in root.all("ul") if one["class"] == "cautions"][0].words()
    assert work.cautions
    for caution in work.cautions:
        assert caution.title in listed
        assert any(caution.title in row and "yes: take care" in row for row in rows)
    quiet = [one.message for one in work.plan.requirements if one.message not in {caution.title for caution in work.cautions}]
    assert quiet and all(any(message in row and "yes" not in row for row in rows) for message in quiet)


def test_figures_stand_beside_their_rules():
    work = proof("corselet_skirt", "maud", ("draw_in=1.3 cm",))
    rows = rows_of(Reader(write_page(work)).root)
    quarter = (float(work.run.filled[work.plan.measures["waist"]][0]) - 13.0) / 4
    row = next(row for row in rows.values() if row.words().startswith("waist_quarter"))
    assert float(read_length(row.words().rpartition("= ")[2])[0]) == pytest.approx(quarter, abs=0.05)


def beside(root: Element) -> dict[str, list[str]]:
    """ "file:line" -> what stands beside the rule there."""
    told: dict[str, list[str]] = {}
    for row in rows_of(root).values():
        told.setdefault(row["data-rule"], []).extend(one.words() for one in row.all("span") if one["class"] == "comes")
    return told


def test_rules_of_libraries_have_their_sums_and_figures():
    told = beside(Reader(page("corselet_skirt", "nell")).root)
    style, skirt, corset = (
        {line: " ".join(words) for line, words in told.items() if line.startswith(name) and words}
        for name in ("corselet_skirt.style", "skirt.style", "corset.style")
    )
    assert "= (38 1/2 + 1 15/16) / 4 = 10 1/8 in; ease = 38 1/2 x 5 % = 1 15/16 in" in style.values()
    assert "= (38 1/2 + 1 15/16) / 4 = 10 1/8 in" in skirt.values()
    text = proof("corselet_skirt", "nell").sources[0].text.splitlines()
    back, front = (
        next(n for n, line in enumerate(text, 1) if line.startswith(word)) for word in ("foundation back_shell", "piece front ")
    )
    assert f"for line {front}: top_width = 7 3/4 in; for line {back}: top_width = 7 5/8 in" in corset.values()
    assert "= yes" in corset.values()  # when darted


def test_a_rule_used_several_times_has_the_figure_of_each_use():
    work = proof("straight_skirt", "nell", ("lined=yes",))
    told = beside(Reader(write_page(work)).root)
    for line, words in told.items():
        uses = [part for part in "; ".join(words).split("; ") if part.startswith("for line ")]
        assert len(set(uses)) == len(uses), line
    assert any(len(part) for words in told.values() for part in words if part.count("for line ") > 1)


# --------------------------------------------------------------------------------------------- the page as a document


def test_the_page_asks_for_nothing(read):
    _, root = read
    for element in root.all():
        for name in ("src", "href", "action", "srcset", "data", "poster"):
            assert (element[name] or "#").startswith("#"), f"<{element.tag}> asks for {element[name]}"
        assert not any(name.startswith("on") or name == "style" for name in element.attributes)
    for style in root.all("style"):
        assert "@import" not in style.words() and "url(" not in style.words()
    policy = next(one["content"] for one in root.all("meta") if one["http-equiv"])
    assert policy.startswith("default-src 'none'; ")


def test_names_are_unique_and_all_that_is_named_exists(read):
    _, root = read
    names = [one["id"] for one in root.all() if one["id"]]
    assert len(names) == len(set(names))
    for element in root.all():
        for name in ("aria-labelledby", "aria-describedby", "for"):
            assert set((element[name] or "").split()) <= set(names)
        if (element["href"] or "#") != "#":
            assert element["href"][1:] in names


def test_it_is_built_for_those_who_hear_it(read):
    _, root = read
    assert root.all("html")[0]["lang"] == "en"
    assert (
        len(root.all("h1"))
        == len(root.all("main"))
        == len(root.all("title")) - sum(1 for one in root.all("title") if one.parent.tag != "head")
        == 1
    )
    levels = [int(one.tag[1]) for one in root.all("h1", "h2", "h3", "h4")]
    assert levels[0] == 1 and all(b <= a + 1 for a, b in zip(levels, levels[1:], strict=False))
    for button in root.all("button", "a", "summary"):
        assert (button["aria-label"] or button.words()).strip()
    for box in root.all("input", "select"):
        assert any(one.tag == "label" and one.words().strip() for one in ancestors(box))
    for table in root.all("table"):
        assert table.all("caption")[0].words().strip()
        assert all(cell["scope"] == "col" and cell.words().strip() for cell in table.all("thead")[0].all("th"))
        assert all(row.all("th")[0]["scope"] == "row" for row in table.all("tbody")[0].all("tr"))
    for drawing in root.all("svg"):
        assert drawing["role"] == "img"
        assert drawing["aria-label"] or any(one.parent is drawing and one.words().strip() for one in drawing.all("title"))


def ancestors(element: Element):
    while element.parent is not None:
        element = element.parent
        yield element


def test_nothing_a_maker_writes_becomes_part_of_the_page():
    root = Reader(write_page(unruly())).root
    assert len(root.all("script")) == 2 and not root.all("img", "b")
    assert any("</script><script>document.title = 2</script> <!-- & -->" in row.words() for row in rows_of(root).values())
    assert "onerror" in root.all("h1")[0].words()


def test_the_page_holds_its_own_style_and_script_and_the_policy_knows_them(read):
    from base64 import b64encode

    _, root = read
    policy = next(one["content"] for one in root.all("meta") if one["http-equiv"])
    for text in (root.all("style")[0].words(), root.all("script")[-1].words()):
        assert f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" in policy
    assert "underscore" in proof_page.__doc__
    drawn = {one["id"] for svg in root.all("svg") for one in svg.all() if one["id"] and one.parent.tag != "defs"}
    assert not any("_" in name for name in drawn if not name.startswith("lay_"))


def test_it_knows_its_own_pages(read):
    _, root = read
    assert is_ours(page(*read[0]).encode())
    assert not is_ours(b"<!DOCTYPE html><html><head></head></html>")
    assert not re.search(r"/(work|home|tmp|root)/", page(*read[0]))


def test_same_draft_same_page(tmp_path):
    """In another folder, another time zone, with other hash seeds."""
    script = (
        "import hashlib\nfrom proofs import proof\nfrom tapeline.paper.proof.page import papers\n"
        "print(hashlib.sha256(repr(papers(proof('yoked_skirt', 'nell'))).encode()).hexdigest())\n"
    )
    found = printed_elsewhere(script, tmp_path)
    assert found == [hashlib.sha256(repr(papers(proof("yoked_skirt", "nell"))).encode()).hexdigest() + "\n"] * 2
