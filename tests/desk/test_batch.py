"""The command that drafts a stream of bodies: what a result says, what a bad row does, and that a run cut short anywhere and
started again leaves the very file of a run that was left alone."""

import gc
import io
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from cut_short import order_for, run

from tapeline.batch import workers
from tapeline.batch.log import Log, head
from tapeline.batch.results import results_of
from tapeline.bodies.stream import Row, Share
from tapeline.drafting.steps import Run

HERE = Path(__file__).parent
HEADING = "size,waist [cm],hip [cm],waist_to_hip [cm]"
BATCH = ("batch", "plain_skirt.style", "bodies.csv", "-o", "results.jsonl")


def rows(count, seed=1):
    chance = random.Random(seed)
    for number in range(count):
        waist = chance.uniform(58, 100)
        yield f"no {number},{waist:.2f},{waist + chance.uniform(15, 35):.2f},{chance.uniform(17, 23):.1f}"


def table(*lines):
    return "\n".join([HEADING, *lines]) + "\n"


@pytest.fixture
def bodies(folder):
    (folder / "bodies.csv").write_text(table(*rows(23)))
    return folder


def results(folder, name="results.jsonl"):
    first, *lines, last = [json.loads(line) for line in (folder / name).read_text().splitlines()]
    return first, lines, last


# ------------------------------------------------------------ one result a line


def test_one_line_a_body_in_order(bodies, tapeline):
    done = tapeline(*BATCH)
    assert done.exit_code == 0 and done.stdout == ""
    assert done.stderr.splitlines()[-1] == "written: results.jsonl; 23 bodies, 23 passed"
    first, lines, last = results(bodies)
    assert first["made_by"] == "tapeline" and first["table"] == HEADING
    assert first["style"] == {"name": "plain_skirt", "title": "Plain skirt", "version": "1.2"}
    assert last == {"end": 23, "passed": 23}
    assert [(line["n"], line["line"], line["body"]) for line in lines] == [(n, n + 1, f"no {n - 1}") for n in range(1, 24)]


def ring_area(ring):
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1], strict=True))) / 2


def test_a_result_has_the_figures_of_the_pattern(bodies, tapeline):
    """Against `pattern.json` of the same body drafted by itself; figures differ by their last decimal at most."""
    row = list(rows(23))[7].split(",")
    (bodies / "ada.toml").write_text(
        "[measures]\n"
        + "".join(f'{name} = "{value} cm"\n' for name, value in zip(("waist", "hip", "waist_to_hip"), row[1:], strict=True))
    )
    assert tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", "--set", "flare=17%").exit_code == 0
    assert tapeline(*BATCH, "--set", "flare=17%", "--with-points").exit_code == 0
    pattern, result = json.loads((bodies / "out/pattern.json").read_text()), results(bodies)[1][7]
    for girth in pattern["ledgers"]["girths"]:
        told = result["girths"][girth["level"]]
        assert {name: girth[name] for name in told} == pytest.approx(told, abs=2e-4)
    assert len(result["girths"]) == 4 and len(result["seams"]) == len(pattern["ledgers"]["seams"]) == 1
    for seam, told in zip(pattern["ledgers"]["seams"], result["seams"], strict=True):
        assert {name: seam[name] for name in told} == pytest.approx(told, abs=2e-4)
    for piece in pattern["pieces"]:
        told, ring = result["pieces"][piece["name"]], piece["cut_line"]
        assert told["area"] == pytest.approx(ring_area(ring), abs=0.5)  # its points are rounded too
        for axis, name in enumerate(("across", "down")):
            extent = [point[axis] for point in ring]
            assert told[name] == pytest.approx(max(extent) - min(extent), abs=2e-4)
        points = result["points"][piece["name"]]
        assert piece["points"] and all(points[name] == pytest.approx(place, abs=2e-4) for name, place in piece["points"].items())
    assert (
        [(one["code"], one["title"], one["rule"]) for one in result["found"]]
        == [(note["code"], note["title"], note["rule"]) for note in pattern["notes"]]
        != []
    )


BAD_ROWS = [
    ("b,72,,20", "B113", None),
    ("b,72,98,20,1", "B125", 1),
    (",72,98,20", "B126", 1),
    ("b,72 in,98,20", "B128", 3),
    ("b,7,98,20", "B108", 3),
    ("b,wide,98,20", "B106", 3),
    ("b,72,0,20", "B107", 6),
]


def test_a_bad_row_says_what_is_wrong_and_the_others_go_on(folder, tapeline):
    good = list(rows(len(BAD_ROWS) + 1))
    lines = [good[0], *(line for pair in zip((row for row, _, _ in BAD_ROWS), good[1:], strict=True) for line in pair)]
    text = table(*lines).encode() + b"caf\xe9,72,98,20\n" + b"huge," + b"9" * 250_000 + b"\nagain,72,98,20\nagain,72,98,20\n"
    (folder / "bodies.csv").write_bytes(text)
    done = tapeline(*BATCH)
    _, found, last = results(folder)
    failed = len(BAD_ROWS) + 2
    assert done.exit_code == 1 and f"{len(found)} bodies, {len(found) - failed} passed, {failed} failed" in done.stderr
    assert last == {"end": len(lines) + 4, "passed": len(lines) + 4 - failed}
    wrong = [(line["found"][0]["code"], line["found"][0].get("column")) for line in found if not line["passed"]]
    assert wrong[:-2] == [(code, column or 1) for _, code, column in BAD_ROWS] and wrong[-2:] == [("F003", 4), ("B125", 1)]
    assert all("girths" not in line for line in found if not line["passed"])
    (folder / "bodies.csv").write_text(table(*good))
    tapeline(*BATCH, "--again")
    assert [line["girths"] for line in results(folder)[1]] == [line["girths"] for line in found if line["passed"]][:-2]


def test_a_body_that_cannot_be_drafted_names_the_rule(folder, tapeline, changed):
    changed("13 cm long", "90 cm long")
    (folder / "bodies.csv").write_text(table("a,72,98,20"))
    assert tapeline(*BATCH).exit_code == 1
    (line,) = results(folder)[1]
    style = (folder / "plain_skirt.style").read_text().splitlines()
    errors = [one for one in line["found"] if one["severity"] == "error"]
    assert errors and all(one["code"] == "D424" and "way_out" in one for one in errors)
    assert all("point" in style[int(one["rule"].removeprefix("plain_skirt.style:")) - 1] for one in errors)


@pytest.mark.parametrize(
    "heading, code",
    [("size,waist [cm],hip [cm]", "B113"), ("size,waste [cm],hip [cm],waist_to_hip [cm]", "B104"), ("waist,hip", "B122"), ("", "B121")],
)
def test_a_heading_that_will_not_do_is_told_once(folder, tapeline, heading, code):
    (folder / "bodies.csv").write_text(f"# made up\n{heading}\na,72,98,20\nb,73,99,20\n")
    if not heading:
        (folder / "bodies.csv").write_text("# made up\n")
    done = tapeline(*BATCH)
    assert done.exit_code == 1 and done.stderr.count(f"error {code}") == 1
    assert not (folder / "results.jsonl").exists()


def test_standard_input_gives_the_same_bytes(bodies, tapeline):
    from click.testing import CliRunner

    from tapeline.desk.cli import program

    assert tapeline(*BATCH).exit_code == 0
    text = (bodies / "bodies.csv").read_bytes()
    for named in (("-",), ()):
        done = CliRunner().invoke(program, ["batch", "plain_skirt.style", *named, "-o", "piped.jsonl", "--again"], input=text)
        assert done.exit_code == 0 and (bodies / "piped.jsonl").read_bytes() == (bodies / "results.jsonl").read_bytes()


def test_an_empty_table_has_a_head_and_an_end(folder, tapeline):
    (folder / "bodies.csv").write_text(table())
    assert tapeline(*BATCH).exit_code == 0
    assert results(folder)[1:] == ([], {"end": 0, "passed": 0})


def test_a_house_gives_its_allowances_and_its_unit(bodies, tapeline, changed):
    changed("13 cm long", "(13 cm when waist more than 80 cm otherwise 90 cm) long")
    (bodies / "bodies.csv").write_text(table("a,90,110,20", "b,72,98,20"))
    (bodies / "house.toml").write_text('unit = "in"\n[allowances]\nothers = "3 cm"\n')
    tapeline(*BATCH)
    tapeline(*BATCH[:-1], "housed.jsonl", "--house", "house.toml")
    plain, housed = results(bodies)[1][0], results(bodies, "housed.jsonl")[1][0]
    assert plain["girths"] == housed["girths"] and plain["pieces"] == housed["pieces"]  # every edge is named but the fold
    said = [json.dumps(results(bodies, name)[1][1]["found"]) for name in ("results.jsonl", "housed.jsonl")]
    assert said[0] != said[1] and " in" in said[1]


@pytest.mark.parametrize(
    "arguments, word",
    [
        (("--processes", "none"), "neither a number"),
        (("--processes", "0"), "neither a number"),
        (("--processes", "2", "--cluster", "tcp://workroom:8786"), "not both"),
        (("--set", "length"), "names no choice and its value"),
    ],
)
def test_usage(bodies, tapeline, arguments, word):
    done = tapeline(*BATCH, *arguments)
    assert done.exit_code == 2 and word in done.stderr and not (bodies / "results.jsonl").exists()


def test_how_it_ended_as_one_object(bodies, tapeline):
    answer = json.loads(tapeline(*BATCH, "--json").stdout)
    assert answer == {
        "command": "batch",
        "style": "plain_skirt.style",
        "results": "results.jsonl",
        "bodies": 23,
        "passed": 23,
        "exit": 0,
        "diagnostics": [],
    }


# ------------------------------------------------------------ whatever the workers, whatever the company


def test_the_same_bytes_on_any_number_of_processes(bodies):
    order = order_for(HEADING, points=True)
    run(order, bodies)
    alone = (bodies / "results.jsonl").read_bytes()
    for count in (1, 3):
        (bodies / "results.jsonl").unlink()
        run(order, bodies, lambda *work, count=count: workers.on_processes(*work, count))
        assert (bodies / "results.jsonl").read_bytes() == alone


def figures_of(data):
    """Every figure in a result, by its path."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    found = {}
    for key, one in items:
        found.update({(key, *path): value for path, value in figures_of(one).items()})
    return found or {(): data}


def test_a_body_does_not_rest_on_its_company(bodies):
    """Shares of another size give other bytes at most in the last decimal of a figure."""
    (bodies / "bodies.csv").write_text(table(*rows(40), "stout,60,140,20"))
    told = []
    for share in (1, 7, 64):
        (bodies / "results.jsonl").unlink(missing_ok=True)
        run(order_for(HEADING, share), bodies)
        told.append([figures_of(line) for line in results(bodies)[1]])
    for other in told[1:]:
        for one, two in zip(told[0], other, strict=True):
            numeric = [path for path, value in one.items() if isinstance(value, float)]
            assert {path: one[path] for path in numeric} == pytest.approx({path: two[path] for path in numeric}, abs=1.1e-4)
            assert [one[path] for path in one.keys() - numeric] == [two[path] for path in one.keys() - numeric]


def test_nothing_of_a_share_outlives_it():
    """What is drafted holds itself in circles, and its arrays are large: a run of a million bodies must not gather them."""
    order = order_for(HEADING, 20)
    share = Share(tuple(Row(n + 1, n + 2, text) for n, text in enumerate(rows(20))))

    def runs_left():
        assert all(results_of(order, share).passed)
        return sum(type(one) is Run for one in gc.get_objects())

    first = runs_left()
    assert runs_left() == runs_left() == first


# ------------------------------------------------------------ cut short and started again


def test_cut_anywhere_it_goes_on_to_the_same_bytes(bodies):
    (bodies / "bodies.csv").write_text(table(*rows(12), "bad,72"))
    order = order_for(HEADING)
    run(order, bodies)
    path = bodies / "results.jsonl"
    whole = path.read_bytes()
    ends = [place + 1 for place, byte in enumerate(whole) if byte == ord("\n")]
    chance = random.Random(2)
    cuts = {0, 1, 40, *ends, *(end - 1 for end in ends[:2]), *(end + 1 for end in ends[:-1:5]), *chance.sample(range(len(whole)), 5)}
    for cut in sorted(cuts):
        rest = b"\0" * 300 + b"\n" if cut >= ends[0] and chance.random() < 0.3 else b""  # as a failing disk may leave it
        path.write_bytes(whole[:cut] + rest)
        run(order, bodies)
        assert path.read_bytes() == whole, cut


def test_only_what_is_wanting_is_drafted(bodies):
    order = order_for(HEADING)
    run(order, bodies)
    path = bodies / "results.jsonl"
    whole = path.read_bytes()
    path.write_bytes(b"".join(whole.splitlines(True)[:13]))  # the head and 12 results: shares of five
    drafted = []

    def watched(work, order, shares):
        for share in shares:
            drafted.append(share.first)
            yield share, work(order, share)

    run(order, bodies, watched)
    assert drafted == [11, 16, 21] and path.read_bytes() == whole


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills are simulated with fork")
def test_killed_again_and_again_it_loses_nothing_and_repeats_nothing(bodies):
    (bodies / "bodies.csv").write_text(table(*rows(40), "bad,72"))
    run(order_for(HEADING), bodies)
    whole = (bodies / "results.jsonl").read_bytes()
    (bodies / "results.jsonl").unlink()
    done = subprocess.run([sys.executable, HERE / "cut_short.py", bodies, "7"], capture_output=True, text=True, check=True, timeout=120)
    kills, torn = map(int, done.stdout.split())
    assert (bodies / "results.jsonl").read_bytes() == whole
    assert kills >= 5 and torn >= 1


SMALL_SHARES = "from tapeline.batch import order; order.SHARE = 4; from tapeline.desk.cli import main; main()"


def started(*arguments):
    """The program in a group of processes of its own, with small shares."""
    return subprocess.Popen(
        [sys.executable, "-c", SMALL_SHARES, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # as a terminal starts it, however the tests were started
    )


def feed(process, lines):
    process.stdin.write("".join(f"{line}\n" for line in lines).encode())
    process.stdin.flush()


def wait_for(condition, process=None, seconds=60.0):
    end = time.monotonic() + seconds
    while not condition():
        assert process is None or process.poll() is None, process.communicate()[1].decode()
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


def in_group(group):
    """The processes of a group that still run."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, its_group = stat.read_text().rpartition(")")[2].split()[:3]
        except OSError:
            continue
        if int(its_group) == group and state != "Z":
            found.append(stat.parent.name)
    return found


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for processes in /proc")
@pytest.mark.parametrize("how", ["killed", "Ctrl-C"])
def test_a_run_on_processes_is_stopped_and_started_again(bodies, how):
    """The table comes by and by, so that the run is stopped in the middle whatever the speed of the machine."""
    arguments = ("batch", "plain_skirt.style", "-", "-o", "results.jsonl", "--processes", "2")
    lines = list(rows(60))
    path = bodies / "results.jsonl"
    process = started(*arguments)
    feed(process, [HEADING, *lines[:30]])
    wait_for(lambda: path.exists() and path.read_bytes().count(b"\n") > 4, process)
    if how == "killed":
        process.kill()
    else:
        os.killpg(process.pid, signal.SIGINT)  # as a terminal sends it: to all of the group
    said = process.communicate()[1].decode()
    wait_for(lambda: in_group(process.pid) == [])
    if how == "Ctrl-C":
        assert process.returncode == 130 and "the same command resumes from there" in said and "Traceback" not in said
    cut = path.read_bytes()
    again = started(*arguments)
    feed(again, [HEADING, *lines])
    said = again.communicate()[1].decode()
    assert again.returncode == 0, said
    whole = path.read_bytes()
    assert whole.startswith(cut[: cut.rindex(b"\n") + 1])
    path.unlink()
    (bodies / "bodies.csv").write_text(table(*lines))
    run(order_for(HEADING, share=4), bodies)
    assert path.read_bytes().splitlines()[1:] == whole.splitlines()[1:]  # all but the head, in which the style is named


# ------------------------------------------------------------ results that are there


def test_a_whole_file_is_left_as_it_is(bodies, tapeline):
    (bodies / "bodies.csv").write_text(table(*rows(3), "bad,72"))
    assert tapeline(*BATCH).exit_code == 1
    before = (bodies / "results.jsonl").stat().st_mtime_ns, (bodies / "results.jsonl").read_bytes()
    done = tapeline(*BATCH)
    assert done.exit_code == 1 and "already whole: results.jsonl; 4 bodies, 3 passed, 1 failed" in done.stderr
    assert ((bodies / "results.jsonl").stat().st_mtime_ns, (bodies / "results.jsonl").read_bytes()) == before


@pytest.mark.parametrize(
    "change, word",
    [
        (("--set", "flare=6%"), "the choices"),
        (("--house", "house.toml"), "the house"),
        (("--unit", "in"), "the unit"),
        (("--with-points",), "the points"),
        ("style", "the texts of the style"),
        ("heading", "the heading of the table"),
        ("program", "the program"),
        ("later", "their form: it is form 3, and this program writes form 2"),
        ("earlier", "their form: it is form 1, and this program writes form 2"),
    ],
)
def test_another_order_is_refused(bodies, tapeline, change, word, changed, monkeypatch):
    (bodies / "house.toml").write_text('[allowances]\nothers = "3 cm"\n')
    assert tapeline(*BATCH).exit_code == 0
    before = (bodies / "results.jsonl").read_bytes()
    more = change if isinstance(change, tuple) else ()
    if change == "style":
        changed("13 cm long", "12 cm long")
    elif change == "heading":
        changed("hip [cm]", "hip  [cm]", "bodies.csv")
    elif change == "program":
        monkeypatch.setattr("tapeline.batch.order.FORM", 3)
    elif change == "later":
        before = before.replace(b'"batch":2', b'"batch":3')
        (bodies / "results.jsonl").write_bytes(before)
    elif change == "earlier":  # results of the first form, whose mark was another word
        before = before.replace(b'"batch":2', b'"bulk":1').replace(b", 2, 1024", b", 1, 1024")
        assert b"bulk" in before and b", 1, 1024" in before
        (bodies / "results.jsonl").write_bytes(before)
    done = tapeline(*BATCH, *more)
    assert done.exit_code == 3 and "R101" in done.stderr and f"a difference in {word}\n" in done.stderr
    assert (bodies / "results.jsonl").read_bytes() == before
    assert tapeline(*BATCH, *more, "--again").exit_code == 0
    assert (bodies / "results.jsonl").read_bytes() != before


@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("change, row", [("changed", 5), ("added", 24), ("lost", 23), ("moved", 2)])
def test_another_table_is_refused_by_its_row(bodies, tapeline, change, row, whole):
    tapeline(*BATCH)
    path = bodies / "results.jsonl"
    if not whole:
        path.write_bytes(path.read_bytes()[:-20])
    before = path.read_bytes()
    lines = list(rows(23))
    if change == "changed":
        lines[4] = lines[4].replace("no", "nr")
    elif change == "added":
        lines.append("more,72,98,20")
    elif change == "lost":
        lines.pop()
    else:
        lines.insert(1, "# a comment more, and every line after it is another")
    (bodies / "bodies.csv").write_text(table(*lines))
    done = tapeline(*BATCH)
    if change == "added" and not whole:  # a table that grew while its run lay still
        assert done.exit_code == 0 and results(bodies)[2] == {"end": 24, "passed": 24}
        return
    assert done.exit_code == 3 and f"error R102: Row {row} of the table is not what it was" in done.stderr
    assert path.read_bytes() == before if whole else before.startswith(path.read_bytes())


@pytest.mark.parametrize("there", [b"Maud: fitting on Thursday.\n", b'{"made_by": "tapeline", "record": 1}\n', b"{}", b"\x00" * 9])
def test_a_strangers_file_is_left_alone(bodies, tapeline, there):
    (bodies / "results.jsonl").write_bytes(there)
    for more in ((), ("--again",)):
        done = tapeline(*BATCH, *more)
        assert done.exit_code == 3 and "F005" in done.stderr and (bodies / "results.jsonl").read_bytes() == there


def test_the_table_itself_is_no_place_for_results(bodies, tapeline):
    before = (bodies / "bodies.csv").read_bytes()
    assert tapeline(*BATCH[:-1], "bodies.csv").exit_code == 3
    assert (bodies / "bodies.csv").read_bytes() == before


def test_a_place_that_cannot_be_written(bodies, tapeline):
    (bodies / "taken").mkdir()
    (bodies / "file").write_text("")
    for place in ("taken", "file/results.jsonl"):
        done = tapeline(*BATCH[:-1], place)
        assert done.exit_code == 3 and "F004" in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="has no disk that is always full")
def test_a_full_disk_is_told(bodies, tapeline, monkeypatch):
    monkeypatch.setattr("tapeline.batch.log._open", lambda path: io.FileIO("/dev/full", "r+"))
    monkeypatch.setattr("tapeline.batch.log.Log._begin", lambda log, first, again: log._write(first))
    done = tapeline(*BATCH)
    assert done.exit_code == 3 and "F004" in done.stderr and "no space left" in done.stderr


def test_a_table_that_is_not_there(folder, tapeline):
    done = tapeline(*BATCH)
    assert done.exit_code == 3 and "F001" in done.stderr and not (folder / "results.jsonl").exists()


def test_two_runs_do_not_write_one_file(bodies, tapeline):
    pytest.importorskip("fcntl", reason="the lock is tried from within one process, as flock allows")
    order = order_for(HEADING)
    with Log(bodies / "results.jsonl", head(order, {})):
        done = tapeline(*BATCH)
        assert done.exit_code == 3 and "another run writes it" in done.stderr
    shutil.move(bodies / "results.jsonl", bodies / "old.jsonl")
    assert tapeline(*BATCH).exit_code == 0


def test_a_table_of_the_programs_by_its_bare_name(folder, tapeline):
    done = tapeline("batch", "plain_skirt.style", "quay_row", "-o", "sizes.jsonl")
    _, lines, last = results(folder, "sizes.jsonl")
    assert [one["body"] for one in lines] == ["24", "26", "28", "30", "32", "34"] and last["end"] == 6, done.stderr
    done = tapeline("batch", "plain_skirt.style", "quay_rwo", "-o", "none.jsonl")
    assert done.exit_code == 3 and 'Did you mean "quay_row"?' in done.stderr and not (folder / "none.jsonl").exists()
