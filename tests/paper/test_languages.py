"""Every paper that a workshop reads is in the house's language: no fixed word is left in English, and no figure is lost on the way."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest
from drafted import drafted

import tapeline
from tapeline.paper.cutting.cutting_list import papers as list_papers
from tapeline.paper.hand.sheet import papers as hand_papers
from tapeline.paper.house import garment_words, hand_words, house, list_words, words
from tapeline.paper.house.house import House

HAND = Path(tapeline.__file__).parent / "paper" / "hand"
SHIPPED = Path(__file__).parents[2] / "styles"
STYLES = ("princess_bodice", "vented_pencil_skirt", "pleated_skirt", "wrap_skirt")  # between them most moves of a drafter, and changes


@pytest.fixture
def unknown(monkeypatch):
    """The fixed words that are said and have no words in the language."""
    missing: set[str] = set()
    say = House.say

    def noting(self, text, **figures):
        if self.language != "en" and text not in words._TABLES[self.language] and re.search("[a-z]{2}", text):
            missing.add(text)
        return say(self, text, **figures)

    monkeypatch.setattr(house.House, "say", noting)
    return missing


@pytest.mark.parametrize("style, language", [*((style, "de") for style in STYLES), (STYLES[1], "fr")])
def test_lists_and_sheets_for_drawing_by_hand_are_in_the_house_s_language(style, language, unknown):
    work = drafted(style, "nell", House(language=language, unit="mm"))
    page = hand_papers(work)[f"{style}-by-hand.html"]
    list_papers(work)
    assert unknown == set()
    assert f'<html lang="{language}">' in page
    for english, *others in hand_words.WORDS:
        longest = max(re.split(r"\{\w+\}", english), key=len).strip()
        if len(longest) > 14 and all(longest not in other for other in others):
            assert longest not in page, english


@cache
def figures(language: str) -> list[str]:
    """The figures of the sheet, in their order, with a point for a decimal mark."""
    work = drafted("vented_pencil_skirt", "nell", House(language=language, unit="mm"))
    page = hand_papers(work)["vented_pencil_skirt-by-hand.html"]
    steps = re.findall(r"<li>(.*?)</li>", re.sub(r"<(style|svg)[\s\S]*?</\1>", "", page), re.DOTALL)
    return [sorted(re.findall(r"\d+(?:[.,]\d+)?(?= mm)|\d+[.,]\d+", step.replace("\u00a0", " "))) for step in steps]


@pytest.mark.parametrize("language", ["de", "fr"])
def test_every_step_has_the_figures_that_it_has_in_english(language):
    translated = [[figure.replace(",", ".") for figure in step] for step in figures(language)]
    assert len(translated) > 40 and translated == figures("en")


def test_every_template_of_the_sheet_has_its_words():
    """Of the modules too that no style of the tests above reaches."""
    known = {english for english, _, _ in (*hand_words.WORDS, *list_words.WORDS)} | set(words._GERMAN)
    for path in HAND.glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        parts = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in ast.walk(node)}
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in parts
                and re.search(r"\{\w+\}", node.value)
            ):
                assert node.value in known, (path.name, node.lineno)


def test_no_word_has_two_meanings_in_the_tables():
    listed = [english for table in (hand_words, list_words, garment_words) for english, _, _ in table.WORDS]
    assert sorted({word for word in listed if listed.count(word) > 1}) == []


def test_templates_keep_their_places_in_every_language():
    for english, *others in hand_words.WORDS:
        assert all(sorted(set(re.findall(r"\{\w+\}", english))) == sorted(set(re.findall(r"\{\w+\}", one))) for one in others), english


def test_every_title_of_the_shipped_styles_has_its_words():
    known = {english for english, _, _ in garment_words.WORDS}
    titles = {
        title for path in SHIPPED.glob("*.style") for title in re.findall(r'^\s*piece \w+ "([^"]+)"', path.read_text(), re.MULTILINE)
    }
    assert len(titles) > 60 and titles - known == set()
