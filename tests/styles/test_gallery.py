"""The pictures of the read-me and of the gallery are those of today's styles."""

import re

import pytest

import tour
from gallery import COMMAND, NAMES, PAGE, PICTURES, ROOT, digest, digest_in, garment, nest, page, proof, sheet

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
SLACK = 0.02  # mm in which a coordinate may differ from machine to machine


def same(one: bytes, other: bytes) -> bool:
    one_text, other_text = one.decode(), other.decode()
    figures = [[float(figure) for figure in NUMBER.findall(text)] for text in (one_text, other_text)]
    if NUMBER.sub("0", one_text) != NUMBER.sub("0", other_text) or len(figures[0]) != len(figures[1]):
        return False
    return all(abs(a - b) <= SLACK for a, b in zip(*figures, strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_the_gallery_shows_every_style_as_it_is_drawn(name):
    assert same((PICTURES / f"{name}.svg").read_bytes(), garment(name)), f"it has changed: {COMMAND}"


@pytest.mark.parametrize(("name", "made"), [("first_drawing.svg", sheet), ("nest.svg", nest)])
def test_the_drawings_of_the_read_me(name, made):
    assert same((PICTURES / name).read_bytes(), made()), f"it has changed: {COMMAND}"


def test_the_picture_of_the_proof_page_is_of_the_page_as_it_is():
    assert digest_in((PICTURES / "proof.png").read_bytes()) == digest(proof()), f"the page has changed: {COMMAND}"


def test_the_page_of_styles_has_all_of_them_and_no_other_picture_is_kept():
    text = PAGE.read_text(encoding="utf-8")
    assert text == page(text), COMMAND
    assert {path.name for path in PICTURES.iterdir()} == {
        *(f"{name}.svg" for name in NAMES),
        "first_drawing.svg",
        "nest.svg",
        "proof.png",
        *tour.NAMES,
    }


def test_the_read_me_shows_its_pictures():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for name in ("first_drawing.svg", "nest.svg", "proof.png"):
        assert f'src="styles/pictures/{name}"' in text


def test_a_moved_line_would_be_seen():
    picture = garment("straight_skirt")
    figure = max(NUMBER.findall(picture.decode()), key=float)
    assert not same(picture, picture.replace(figure.encode(), str(float(figure) + 0.1).encode()))
    assert same(picture, picture)
