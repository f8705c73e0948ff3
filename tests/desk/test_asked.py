"""Papers and cloth that are asked for go before the house's."""

import json
from pathlib import Path

import pytest

from tapeline.session import Session

HERE = Path(__file__).parent
BODY = {"waist": "72 cm", "hip": "100 cm", "waist_to_hip": "20 cm"}
ROLL = 'paper = "roll 36 in"\ncloth = "54 in"'


@pytest.fixture(scope="module")
def draft():
    drafts = Session().read(HERE / "plain_skirt.style").draft({"Ada": BODY}, house=ROLL)
    assert drafts.ok, drafts.diagnostics
    return drafts.bodies[0]


def names(draft, **asked):
    return {name.removeprefix("plain_skirt-") for name in draft.papers(["pdf"], **asked) if name.endswith(".pdf")}


@pytest.mark.parametrize(
    "paper, expected",
    [
        ((), {"plot.pdf"}),
        ("A4", {"plot.pdf", "A4.pdf"}),
        ("a4, letter", {"plot.pdf", "A4.pdf", "Letter.pdf"}),
        (["A4", "A4"], {"plot.pdf", "A4.pdf"}),
        ("A0", {"plot.pdf"}),
        ("roll 60 in, A0, A3", {"plot.pdf", "A0.pdf", "A3.pdf"}),
    ],
)
def test_pages_are_made_of_the_papers_asked_for_whatever_the_roll(draft, paper, expected):
    assert names(draft, paper=paper) == expected


def test_a_page_is_as_large_as_the_paper_asked_for_and_the_plot_stays_on_the_roll(draft):
    import pypdfium2

    made = draft.papers(["pdf"], paper="A4")
    pages = pypdfium2.PdfDocument(made["plain_skirt-A4.pdf"])
    sizes = {tuple(sorted(round(side / 72 * 25.4) for side in page.get_size())) for page in pages}
    assert sizes == {(210, 297)} and len(pages) > 2
    assert made["plain_skirt-plot.pdf"] == draft.papers(["pdf"])["plain_skirt-plot.pdf"]
    assert made["plain_skirt-A4.pdf"] != draft.papers(["pdf"], paper="A3")["plain_skirt-A3.pdf"]


def test_cloth_is_reckoned_at_the_width_asked_for(draft):
    lists = {cloth: draft.papers(["list"], cloth=cloth)["plain_skirt-cutting-list.txt"].decode() for cloth in ((), "90 cm", "1.1 m")}
    assert "137.2 cm wide between the selvedges (stated by the house)" in lists[()]
    assert "90 cm wide between the selvedges (asked for)" in lists["90 cm"]
    assert "110 cm wide between the selvedges (asked for)" in lists["1.1 m"]


@pytest.mark.parametrize("option, words, code", [("--paper", "A9", "P101"), ("--cloth", "150", "H110"), ("--cloth", "90 ft", "H110")])
def test_what_cannot_be_asked_for_is_told_and_nothing_written(folder, tapeline, option, words, code):
    result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", "--papers", "pdf,list", option, words, "--json")
    assert result.exit_code == 1 and [found["code"] for found in json.loads(result.stdout)["diagnostics"]] == [code]
    assert not (folder / "out").exists()


def test_sizes_are_printed_on_what_is_asked_for(folder, tapeline):
    (folder / "sizes.csv").write_text("size, waist [cm], hip [cm], waist_to_hip [cm]\n10, 68, 94, 20\n12, 72, 98, 20.2\n")
    result = tapeline(
        "draft", "plain_skirt.style", "--sizes", "sizes.csv", "-o", "out", "--papers", "pdf", "--paper", "A3", "--paper", "Letter"
    )
    assert result.exit_code == 0, result.output
    made = {path.name for path in (folder / "out").glob("*.pdf")}
    assert {f"plain_skirt-10-{paper}.pdf" for paper in ("A3", "Letter", "plot")} <= made
