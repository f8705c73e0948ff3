"""The measures of the standard library, read here by a few patterns of our own and not by the compiler."""

import re
from pathlib import Path

import pytest

from tapeline.bodies.measurement import Doubt, Measurement
from tapeline.source.quantity import read_length

ROOT = Path(__file__).parents[2]
_MEASUREMENT = re.compile(r'^measurement (\w+) "([^"]+)"\n((?:    .*\n)+)', re.MULTILINE)
_DOUBT = re.compile(r'^doubt (\w+) (less than|more than) (\w+)(, which occurs)?\n    "([^"]+)"\n', re.MULTILINE)
_RADIANS = 3.141592653589793 / 180


def _bound(text: str) -> float:
    if text.endswith("deg"):
        return float(text.removesuffix("deg")) * _RADIANS
    return float(read_length(text)[0])


def _measurement(name: str, title: str, body: str) -> Measurement:
    standard = re.search(r'standard "([^"]+)"', body)
    low, high = re.search(r"plausible (.+) to (.+)", body).groups()
    sides = re.search(r"sides (\w+) within (.+)", body)
    steady, month = re.search(r"steady within (\S+ \w+)( a month)?\n", body).groups()
    return Measurement(
        name,
        title,
        re.search(r"kind (\w+)", body)[1],
        re.search(r'taken "([^"]+)"', body)[1],
        standard[1] if standard else "",
        _bound(low),
        _bound(high),
        sides=sides[1] if sides else "",
        unlike=_bound(sides[2]) if sides else float("inf"),
        steady=_bound(steady),
        monthly=month is not None,
    )


@pytest.fixture(scope="session")
def library_text() -> str:
    return (ROOT / "stdlib" / "measurements.style").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def known(library_text) -> dict[str, Measurement]:
    return {m[1]: _measurement(*m.groups()) for m in _MEASUREMENT.finditer(library_text)}


@pytest.fixture(scope="session")
def doubts(library_text) -> tuple[Doubt, ...]:
    return tuple(Doubt(m[1], m[2], m[3], m[5], occurs=m[4] is not None) for m in _DOUBT.finditer(library_text))
