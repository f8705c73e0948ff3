"""House files as they are read, and drawings labelled and notched as a house has them.  The houses are invented."""

import ast
import re
import string
from pathlib import Path

import pytest
from test_sheet import assert_clear

import tapeline
from tapeline.meaning.cutting import ALLOWANCE_KINDS
from tapeline.paper.cutting import text as cutting_text
from tapeline.paper.drawing.model import LINES, Stroke, Text, box_of, each_item
from tapeline.paper.drawing.pieces import draw_piece
from tapeline.paper.house import words
from tapeline.paper.house.house import USUAL, House, read_house
from tapeline.paper.sheets import first_page
from tapeline.paper.sheets.pdf import PAGE_LINES
from tapeline.paper.sheets.sheet import draw_sheet
from tapeline.source.text import Source
from tapeline.source.world import standard_folder

FULL = """# a workshop
name     = "Quay Row"
unit     = "in"
fraction = 8
paper    = "roll 36 in"
overlap  = "1/2 in"
notch    = "slit"
language = "de-AT"
cloth    = "150 cm"
nap      = true

[allowances]
seam     = "5/8 in"
zip      = "2 cm"
hem      = "4 cm turned up"
neck     = "7 mm bound"
back_zip = "3 cm for zip"
others   = "0"
"""


def house_of(text: str):
    return read_house(Source("house.toml", text))


class TestReading:
    def test_everything_that_a_house_can_say(self):
        house, found = house_of(FULL)
        assert not found
        assert (house.name, house.unit, house.fraction, house.paper) == ("Quay Row", "in", 8, "roll 36 in")
        assert (house.overlap, house.notch, house.language, house.cloth, house.nap) == (12.7, "slit", "de", 1500.0, True)
        assert {name: (one.width, one.kind) for name, one in house.allowances.items()} == {
            "seam": (15.875, "plain"),
            "zip": (20.0, "for zip"),
            "hem": (40.0, "turned up"),
            "neck": (7.0, "bound"),
            "back_zip": (30.0, "for zip"),
            "others": (0.0, "plain"),
        }
        assert house.allowances["hem"].span.line == 15 and house.allowances["hem"].span.text == '"4 cm turned up"'

    @pytest.mark.parametrize("text", ["", "# nothing\n", "[allowances]\n"])
    def test_nothing_must_be_said(self, text):
        assert house_of(text) == (USUAL, [])

    @pytest.mark.parametrize("path", sorted(standard_folder("styles").glob("houses/*.toml")), ids=lambda path: path.stem)
    def test_the_houses_that_come_along(self, path):
        house, found = house_of(path.read_text(encoding="utf-8"))
        assert not found and house.name and house.allowances

    def test_the_house_of_the_read_me(self):
        text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
        (block,) = (block for block in re.findall(r"```toml\n(.*?)```", text, re.DOTALL) if "[allowances]" in block)
        house, found = house_of(block)
        assert not found and house.name == "Quay Row" and len(house.allowances) == 5

    @pytest.mark.parametrize(
        "line, code, word",
        [
            ('untis = "in"', "H101", 'Did you mean "unit"?'),
            ("[turnings]", "H101", 'It is now called "allowances".'),
            ("[allowance]", "H101", 'Did you mean "allowances"?'),
            ('unit = "inch"', "H102", '"mm", "cm", "in"'),
            ("unit = 3", "H102", '"mm", "cm", "in"'),
            ("name = 7", "H102", "a text"),
            ('notch = "triangel"', "H102", 'Did you mean "triangle"?'),
            ("fraction = 10", "H102", "2, 4, 8, 16, 32, 64"),
            ("fraction = true", "H102", "2, 4, 8, 16, 32, 64"),
            ('fraction = "1/8"', "H102", "fraction = 8"),
            ("paper = 4", "H102", "a text"),
            ('paper = "A9"', "P101", "A4"),
            ('overlap = "10"', "H102", "0 cm to 10 cm"),
            ('overlap = "1 m"', "H102", "0 cm to 10 cm"),
            ('overlap = "-1 cm"', "H102", "0 cm to 10 cm"),
            ('cloth = "60\\""', "H102", 'Write cloth = "60 in".'),
            ('nap = "yes"', "H102", "true or false"),
            ('language = "german"', "H102", "en, de, fr"),
            ("allowances = 3", "H102", "[allowances]"),
            ('[allowances]\nseams = "1 cm"', "H101", 'Did you mean "seam"?'),
            ('[allowances]\n"my seam" = "1 cm"', "H101", "the name of an edge"),
            ('[allowances]\nseam = "1.5"', "H102", "a length with its unit"),
            ("[allowances]\nseam = 15", "H102", "a length with its unit"),
            ('[allowances]\nseam = "-1 cm"', "H102", "a length with its unit"),
            ('[allowances]\nseam = "9 mm 3 cm"', "H102", "a length with its unit"),
            ('[allowances]\nseam = "600 cm"', "H102", "at most 50 cm"),
            ('[allowances]\nhem = "4 cm turned upp"', "H102", 'Write hem = "4 cm turned up".'),
            ("seam = 1.5 cm", "B101", "1.5 cm"),
            ('unit = "in"\nunit = "cm"', "B102", "stands twice"),
        ],
    )
    def test_what_is_wrong_is_told_with_its_line(self, line, code, word):
        house, found = house_of(f"# Quay Row\n{line}\n")
        assert house is None and [one.code for one in found] == [code]
        assert word in f"{found[0].title} {found[0].expected} {found[0].suggestion}", found[0]
        assert found[0].span.line == 2 + line.count("\n")

    def test_every_fault_is_told_at_once(self):
        house, found = house_of('unit = "ell"\nfraction = 3\nnocth = "slit"\n[allowances]\nhem = "4"\n')
        assert house is None and [one.code for one in found] == ["H102", "H102", "H101", "H102"]

    def test_an_unknown_language_falls_back_to_english(self):
        house, found = house_of('language = "nl"\nfraction = 4\n')
        assert [(one.code, one.severity) for one in found] == [("H103", "caution")]
        assert house == House(fraction=4)

    @pytest.mark.parametrize(
        "text",
        [
            "\0",
            "[[allowances]]\nseam = 1",
            "a = " + "[" * 3000,
            "name = '''x\ny'''",
            "[allowances.seam]\na = 1",
            "allowances.seam = '1 cm'",
            "\ufeffunit = 'cm'",
            "unit = 1979-05-27",
            "cloth = nan",
        ],
    )
    def test_no_text_breaks_the_reader(self, text):
        house, found = house_of(text)
        assert (house is None) == any(one.severity == "error" for one in found)


def said_words(module: Path):
    """The texts that a module says in the house's language: first arguments of calls of `say`, both of a choice."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) == "say":
            yield from (one.value for one in ast.walk(node.args[0]) if isinstance(one, ast.Constant) and " " in str(one.value))


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


class TestWords:
    tables = pytest.mark.parametrize("table", [words._TABLES["de"], words._TABLES["fr"]], ids=["de", "fr"])

    @tables
    def test_every_word_keeps_its_places(self, table):
        assert [english for english, other in table.items() if places(english) != places(other)] == []

    @tables
    def test_every_fixed_word_of_a_drawing_is_known(self, table):
        folder = Path(tapeline.__file__).parent / "paper"
        wanted = {
            text
            for name in ("drawing/pieces", "sheets/sheet", "sheets/first_page", "sheets/printed", "cutting/text", "cutting/page")
            for text in said_words(folder / f"{name}.py")
        }
        wanted |= {line.meaning for line in (*LINES.values(), *PAGE_LINES.values()) if line.meaning}
        wanted |= {
            *(kind.label for kind in ALLOWANCE_KINDS.values() if kind.label),
            *first_page.PRINTING,
            *first_page.JOINING,
            *first_page.NOT_JOINED,
            *first_page.CUTTING,
            *cutting_text.METHOD,
            *cutting_text.FROM.values(),
            *cutting_text.LAYS.values(),
            cutting_text.TURNED,
            cutting_text.NOT_LAID,
        }
        assert len(wanted) > 55 and sorted(wanted - set(table)) == []

    def test_both_languages_have_the_same_words(self):
        assert list(words._TABLES["de"]) == list(words._TABLES["fr"]) and list(words._GERMAN) == list(words._FRENCH)

    @pytest.mark.parametrize("language", ["de", "fr"])
    @pytest.mark.parametrize("opened", [False, True])
    def test_labels_stay_clear_of_lines(self, finished, heading, language, opened):
        drawing = draw_sheet(finished, 1, heading._replace(house=House(language=language)), opened, edge_names=opened)
        assert_clear(drawing)

    def test_a_german_sheet(self, finished, heading):
        drawing = draw_sheet(finished, 1, heading._replace(house=House("Quay Row", language="de")))
        said = {item.words for item in each_item(drawing.items) if isinstance(item, Text)}
        assert {"Was die Linien bedeuten", "hier schneiden", "Stoffbruch", "1 x zuschneiden, im Stoffbruch"} <= said
        assert f"gezeichnet f\u00fcr {heading.body_name}, Quay Row" in said
        assert not any("cut here" in text or "Seam allowances" in text for text in said)

    def test_what_a_language_lacks_is_english(self, monkeypatch):
        monkeypatch.delitem(words._TABLES["de"], "Cut {count}")
        assert House(language="de").say("Cut {count}", count=2) == "Cut 2"


class TestNotches:
    def notches(self, finished, heading, kind):
        group = draw_piece(finished.piece("front"), 1, heading._replace(house=House(notch=kind)))
        return {(item.name, item.rule): item.commands for item in group.items if isinstance(item, Stroke) and item.line == "notch"}

    def test_each_kind_is_drawn_in_its_way(self, finished, heading):
        line, triangle, slit = (self.notches(finished, heading, kind) for kind in ("line", "triangle", "slit"))
        assert line and set(line) == set(triangle) == set(slit)
        for name, ((_, x0, y0), (_, x1, y1)) in line.items():
            left, tip, right = (command[1:] for command in triangle[name])
            assert tip == (x1, y1)
            assert ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2) == pytest.approx((x0, y0))
            assert (left[0] - right[0]) * (x1 - x0) + (left[1] - right[1]) * (y1 - y0) == pytest.approx(0, abs=1e-6)  # square on
            assert slit[name][0] == ("M", x0, y0)
            deep = (slit[name][1][1] - x0) ** 2 + (slit[name][1][2] - y0) ** 2
            assert 0 < deep < (x1 - x0) ** 2 + (y1 - y0) ** 2

    def test_the_legend_shows_the_kind(self, finished, heading):
        drawing = draw_sheet(finished, 1, heading._replace(house=House(notch="triangle")))
        legend = next(group for group in drawing.items if group.name == "legend")
        (sample,) = [item for item in legend.items if isinstance(item, Stroke) and item.line == "notch"]
        assert len(sample.commands) == 3


def test_lengths_are_written_to_the_fraction_of_the_house():
    assert House(fraction=4).show(25.4 * 3.75, "in") == "3 3/4 in"
    assert House(fraction=4).show(25.4 * 3.8125, "in") == "3 3/4 in"  # 3 13/16 lies between two quarters
    assert USUAL.show(25.4 * 3.8125, "in") == "3 13/16 in"


@pytest.mark.parametrize("language", words.LANGUAGES)
@pytest.mark.parametrize("joined", [True, False])
def test_the_words_in_the_test_square_stay_inside(language, joined):
    group = first_page.test_square(joined, "in", House(language=language))
    left, top, right, low = box_of([item for item in each_item(group.items) if isinstance(item, Text)])
    assert 0 < left < right < 100 and 0 < top < low < 100
