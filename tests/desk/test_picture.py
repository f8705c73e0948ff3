"""`tapeline picture`: a page of a PDF as a picture, read back by Pillow."""

import json

import pytest
from click.testing import CliRunner
from PIL import Image

from tapeline.desk.cli import program


def run(*words):
    return CliRunner().invoke(program, [str(word) for word in words])


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("out")
    assert run("draft", "half_circle_skirt", "--for", "maud", "--papers", "pdf", "-o", folder).exit_code == 0
    return folder


def test_a_tile_is_pictured_in_its_shape(pages, tmp_path):
    (tiled,) = [path for path in pages.glob("*.pdf") if "plot" not in path.name]
    done = run("picture", tiled, "--page", 2, "-o", tmp_path)
    assert done.exit_code == 0, done.output
    (made,) = tmp_path.glob("*.png")
    assert made.name == f"{tiled.stem}-2.png"
    picture = Image.open(made).convert("L")
    low, high = picture.getextrema()
    assert low < 64 and high == 255  # something is drawn on it
    assert picture.width / picture.height == pytest.approx(min(210.0, 215.9) / 279.4, rel=0.08)  # a sheet, upright
    assert run("picture", tiled, "--page", 2, "-o", tmp_path).exit_code == 0  # its own picture may be made anew


def test_mistakes_are_said(pages, tmp_path):
    plot = next(pages.glob("*-plot.pdf"))
    done = run("picture", plot, "--page", 99, "-o", tmp_path, "--json")
    assert done.exit_code == 3 and json.loads(done.output)["diagnostics"][0]["code"] == "F006"
    spoiled = tmp_path / "spoiled.pdf"
    spoiled.write_text("no pattern")
    done = run("picture", spoiled, "-o", tmp_path, "--json")
    assert json.loads(done.output)["diagnostics"][0]["code"] == "F006"
    done = run("picture", tmp_path / "gone.pdf", "-o", tmp_path, "--json")
    assert json.loads(done.output)["diagnostics"][0]["code"] == "F001"
    (tmp_path / f"{plot.stem}-1.png").write_text("mine")
    done = run("picture", plot, "-o", tmp_path, "--json")
    assert done.exit_code == 3 and json.loads(done.output)["diagnostics"][0]["code"] == "F005"
    assert (tmp_path / f"{plot.stem}-1.png").read_text() == "mine"
