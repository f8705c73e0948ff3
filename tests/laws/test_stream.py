"""A table read as a stream gives the cards of the table read whole, says the same of its rows, and takes no more memory for a
longer one; workers give their shares back in order, however each of them fares."""

import gc
import io
import math
import os
import signal
import tracemalloc
from fractions import Fraction
from itertools import islice

import numpy as np
import pytest

from tapeline.batch import workers
from tapeline.bodies.measurement import Doubt, Measurement
from tapeline.bodies.stream import LONGEST_LINE, Row, RowReader, Share, TableStream
from tapeline.bodies.table import read_table
from tapeline.source.quantity import number, numbers
from tapeline.source.text import Source
from tapeline.source.units import LENGTHS

KNOWN = {
    one.name: one
    for one in (
        Measurement("waist", "Waist girth", "girth", "level at the waist", low=380, high=1700),
        Measurement("hip", "Hip girth", "girth", "over the seat", low=400, high=1900),
        Measurement("shoulder_slope", "Shoulder slope", "angle", "below level", low=0.08, high=0.75),
    )
}
DOUBTS = (Doubt("hip", "less than", "waist", "Were they exchanged?"),)
HEADING = "size, waist [cm], hip, shoulder_slope [deg], note"
CELLS = (
    ("72", "72.5", ' "98" ', "28 1/2", "72 cm", "", "28 in", "-3", "none", "7", "  "),
    ("98 cm", "37 1/2 in", "98", "", "0 cm", '"96, 5"', "60 cm"),
    ("20", "", "22 deg", "80"),
    ("", "so", '"so, so"'),
)


def some_rows(count, seed=1):
    random = np.random.default_rng(seed)
    for row in range(count):
        yield ",".join([f"no {row}", *(str(random.choice(cells)) for cells in CELLS)])


def stream(text: bytes) -> TableStream:
    return TableStream(io.BytesIO(text), "bodies.csv")


def told(diagnostics):
    return [(one.code, one.severity, one.title, one.expected, one.found, one.suggestion, one.span.column) for one in diagnostics]


def test_a_row_is_read_as_in_a_table():
    """Against the reader of whole tables, each row as a table of its own; only the words on a missing unit differ, which a
    table says once of the whole column."""
    reader = RowReader(HEADING, KNOWN, DOUBTS)
    cards = faults = 0
    for place, text in enumerate(some_rows(400)):
        name, card, said = reader.row(Row(place + 1, place + 2, text))
        whole, wrong = read_table(Source("row", f"{HEADING}\n{text}\n"), KNOWN, DOUBTS)
        assert ([card] if card is not None else []) == whole  # values to the last bit
        assert name == f"no {place}"
        assert [one.code for one in said] == [one.code for one in wrong]
        assert [one for one in told(said) if one[0] != "B105"] == [one for one in told(wrong) if one[0] != "B105"]
        cards, faults = cards + (card is not None), faults + bool(said)
    assert cards > 40 and faults > 40


def test_rows_keep_their_number_and_their_line():
    text = b"\xef\xbb\xbf# made up\r\n\r\nsize,waist [cm]\r\na,72\r\n# more\n\nb,73\nc,74"
    table = stream(text)
    assert (table.heading_line, table.heading) == (3, "size,waist [cm]")
    assert list(table.rows()) == [Row(1, 4, "a,72"), Row(2, 7, "b,73"), Row(3, 8, "c,74")]


@pytest.mark.parametrize("unit", LENGTHS)
def test_a_plain_number_is_the_float_nearest_to_it(unit):
    random = np.random.default_rng(4)
    reader = RowReader(f"size,waist [{unit}]", {"waist": Measurement("waist", "Waist girth", "girth", "level", high=math.inf)})
    for value, decimals in zip(random.uniform(0.1, 2000.0, 500), random.integers(0, 7, 500), strict=True):
        text = f"{value:.{decimals}f}"
        if Fraction(text):
            assert reader.row(Row(1, 2, f"a,{text}"))[1].values["waist"] == float(Fraction(text) * LENGTHS[unit].per)


@pytest.mark.parametrize("size", [1, 2, 3, 7, 50])
def test_shares_hold_the_same_rows_together(size):
    text = "size,waist [cm]\n" + "".join(f"{row},72\n" for row in range(20))
    shares = list(stream(text.encode()).shares(size))
    assert [row.number for share in shares for row in share.rows] == list(range(1, 21))
    assert all((row.number - 1) // size == place for place, share in enumerate(shares) for row in share.rows)


def test_a_row_is_known_again_by_its_text_alone():
    assert Row(1, 2, "a,72").digest == Row(5, 9, "a,72").digest != Row(1, 2, "a,73").digest


def test_names_may_repeat_and_lengths_may_not():
    reader = RowReader("size,waist [cm]", KNOWN)
    assert [reader.row(Row(n, n + 1, text))[1] is None for n, text in enumerate(["a,72", "a,72", "a,72,1", "b"])] == [
        False,
        False,
        True,
        True,
    ]


def test_what_is_no_text_is_refused_by_itself():
    table = stream(b"size,waist [cm]\na,72\nb\xff,73\nc," + b"7" * (3 * LONGEST_LINE) + b"\nd,74\n")
    reader = RowReader(table.heading, KNOWN)
    found = [(name, [one.code for one in said]) for name, _, said in map(reader.row, table.rows())]
    assert found == [("a", []), ("", ["F003"]), ("", ["B125"]), ("d", [])]
    name = "\u00e9" * ((LONGEST_LINE - 3) // 2)  # two bytes each: the line is cut within its last cell
    (row,) = stream(f"size,waist [cm]\n{name},725\n".encode()).rows()
    assert [one.code for one in reader.row(row)[2]] == ["B125"]


def test_a_heading_says_what_it_lacks():
    reader = RowReader("size,waist [cm]", KNOWN, needed=("waist", "hip"), name="bodies.csv", line=4)
    assert [(one.code, one.span.line) for one in reader.about_heading] == [("B113", 4)]
    assert [one.code for one in RowReader("", KNOWN).about_heading] == ["B121"]
    assert [one.code for one in RowReader("size,waste [cm]", KNOWN).about_heading] == ["B104"]


class Endless(io.RawIOBase):
    """A table of so many rows, made as it is read."""

    def __init__(self, count):
        self.heading = iter([f"{HEADING}\n".encode()])
        self.rows = (f"no {n},{60 + n % 40000 / 1000},{90 + n % 30011 / 1000} cm,,\n".encode() for n in range(count))

    def readline(self, size=-1):
        return next(self.heading, None) or next(self.rows, b"")


def peak(count):
    gc.collect()
    tracemalloc.start()
    table = TableStream(Endless(count), "endless")
    reader = RowReader(table.heading, KNOWN, DOUBTS)
    read = sum(card is not None for share in table.shares(500) for _, card, _ in map(reader.row, share.rows))
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return read, most


def test_memory_stays_flat(monkeypatch):
    """The readings of cells are remembered, but not without end."""
    monkeypatch.setattr("tapeline.bodies.stream._REMEMBERED", 300)
    peak(1_000)  # what is loaded or remembered for good
    few, little = peak(2_000)
    many, much = peak(6_000)
    assert (few, many) == (2_000, 6_000)
    assert much < 1.1 * little


def test_figures_are_written_in_one_way():
    random = np.random.default_rng(3)
    values = [
        *(random.normal(0.0, 500.0, 2000)),
        *(random.normal(0.0, 1e-4, 500)),
        0.0,
        -0.0,
        0.00005,
        1.00005,
        math.nan,
        math.inf,
        -math.inf,
    ]
    assert numbers([float(value) for value in values]) == ["null" if number(value) is None else repr(number(value)) for value in values]


# ------------------------------------------------------------ workers


def shares(count):
    return [Share((Row(n, n + 1, ""),)) for n in range(1, count + 1)]


def named(order, share):
    return f"{order} {share.first}"


def ended_once(order, share):
    """Work whose worker is killed the first time that it meets the third share."""
    if share.first == 3 and not os.path.exists(order):
        open(order, "w").close()
        os.kill(os.getpid(), signal.SIGKILL)
    return share.first


def ended_always(order, share):
    if share.first == 4:
        os._exit(9)
    return share.first


def test_a_dead_workers_share_is_done_again(tmp_path):
    done = list(workers.on_processes(ended_once, str(tmp_path / "mark"), shares(9), 2))
    assert [share.first for share, _ in done] == [result for _, result in done] == list(range(1, 10))


def test_a_share_that_no_worker_outlives_is_named():
    done = []
    with pytest.raises(workers.Stopped, match="rows 4 to 4"):
        for _, result in workers.on_processes(ended_always, None, shares(9), 2):
            done.append(result)
    assert done == [1, 2, 3]


def test_no_more_is_taken_than_is_waited_for():
    taken = 0

    def endless():
        nonlocal taken
        for share in shares(10_000):
            taken += 1
            yield share

    work = workers.on_processes(named, "no", endless(), 2)
    assert [result for _, result in islice(work, 20)] == [f"no {n}" for n in range(1, 21)]
    work.close()
    assert taken <= 20 + 2 * 2 + 1
