"""Orders carried out: where their papers go, whose papers are left alone, and how the folder of them is listed."""

import json
from pathlib import Path

import pytest
from clients import DAY, card, strip

from tapeline.making import resting

STEM = "belt-ada-2026-11-30"


def papers(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_an_order_is_written_and_never_over_another(folder, tapeline):
    result = tapeline("order", "belt", "--for", "ada", "--due", "2026-12-12", "--bought", "2 m", "--set", "lap=5 cm", *DAY)
    assert result.exit_code == 0 and result.stdout == "written: ada-belt.order\n"
    text = Path("ada-belt.order").read_text()
    assert text.splitlines() == [
        'client  = "ada"',
        'style   = "belt"',
        'version = "1.0"',
        'bought  = "2 m"',
        'date    = "2026-11-30"',
        'due     = "2026-12-12"',
        "",
        "[choices]",
        'lap = "5 cm"',
    ]
    again = tapeline("order", "belt", "--for", "ada", *DAY)
    assert again.exit_code == 3 and "O106" in again.stderr
    assert Path("ada-belt.order").read_text() == text
    assert tapeline("order", "belt", "--for", "ada", "--overwrite", *DAY).exit_code == 0
    assert Path("ada-belt.order").read_text() != text


def test_an_order_that_cannot_be_drafted_is_not_written(folder, tapeline):
    result = tapeline("order", "belt", "--for", "ada", "--set", "lap=12 cm", *DAY)
    assert result.exit_code == 1 and "D402" in result.stderr and not Path("ada-belt.order").exists()


def test_paths_are_told_from_where_the_order_stands(folder, tapeline):
    Path("orders").mkdir()
    result = tapeline("order", "belt.style", "--for", "ada.toml", "-o", "orders/one.order", *DAY)
    assert result.exit_code == 0, result.stderr
    text = Path("orders/one.order").read_text()
    assert 'client  = "../ada.toml"' in text and 'style   = "../belt.style"' in text
    assert tapeline("draft", "orders/one.order", *DAY).exit_code == 0
    assert papers(Path("orders/one")) == [f"{STEM}/{STEM}.svg", f"{STEM}/pattern-ada-2026-11-30.json"]


def test_folder_and_files_carry_style_client_and_date(ordered):
    assert papers(ordered / "ada-belt") == [f"{STEM}/{STEM}.svg", f"{STEM}/pattern-ada-2026-11-30.json"]
    record = json.loads((ordered / "ada-belt" / STEM / "pattern-ada-2026-11-30.json").read_text())
    assert record["choices"]["lap"] == 50.0 and record["body"] == "Ada Quay" and record["date"].startswith("2026-11-30")


def test_a_later_draft_leaves_the_older_papers(ordered, tapeline, folder):
    before = {path: (ordered / "ada-belt" / path).read_bytes() for path in papers(ordered / "ada-belt")}
    (folder / "ada.toml").write_text(card("Ada Quay", 74))
    assert tapeline("draft", "ada-belt.order", "--date", "2026-12-02").exit_code == 0
    assert {path: (ordered / "ada-belt" / path).read_bytes() for path in before} == before
    assert len(papers(ordered / "ada-belt")) == 2 * len(before)


def test_another_draft_of_the_day_wants_the_word(ordered, tapeline, folder):
    assert tapeline("draft", "ada-belt.order", *DAY).exit_code == 0  # the same draft
    place = ordered / "ada-belt" / STEM / f"{STEM}.svg"
    before = place.read_bytes()
    (folder / "ada.toml").write_text(card("Ada Quay", 74))
    result = tapeline("draft", "ada-belt.order", *DAY)
    assert result.exit_code == 3 and "O107" in result.stderr and "other measures" in result.stderr
    assert place.read_bytes() == before
    assert tapeline("draft", "ada-belt.order", "--overwrite", *DAY).exit_code == 0
    assert place.read_bytes() != before


@pytest.mark.parametrize(
    "command, told",
    [
        (("draft", "belt.style", "--for", "ida.toml", "-o", "out", *DAY), "papers for Ada Quay"),
        (("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", *DAY), "papers of belt"),
        (("draft", "belt.style", "--for", "ada.toml", "-o", "out", "--set", "lap=6 cm", "--date", "2026-12-01"), "other choices"),
    ],
)
def test_a_plain_draft_leaves_the_papers_of_others(folder, tapeline, command, told):
    first = ("draft", "belt.style", "--for", "ada.toml", "-o", "out", *DAY)
    assert tapeline(*first).exit_code == 0
    before = {path: (folder / "out" / path).read_bytes() for path in papers(folder / "out")}
    result = tapeline(*command)
    assert result.exit_code == 3 and "O107" in result.stderr and told in result.stderr
    assert {path: (folder / "out" / path).read_bytes() for path in papers(folder / "out")} == before
    assert tapeline(*command, "--overwrite").exit_code == 0
    assert json.loads((folder / "out/pattern.json").read_text()) != json.loads(before["pattern.json"])


def test_the_same_client_may_be_drafted_again(folder, tapeline):
    first = ("draft", "belt.style", "--for", "ada.toml", "-o", "out")
    assert tapeline(*first, *DAY).exit_code == 0
    assert tapeline(*first, "--set", "lap=6 cm", *DAY).exit_code == 0  # the same day: she is still trying
    assert tapeline(*first, "--set", "lap=6 cm", "--date", "2026-12-01").exit_code == 0  # nothing else than the day


def test_too_little_cloth_is_told_with_figures(folder, tapeline):
    text = 'client = "ada"\nstyle = "plain_skirt"\nbought = ["60 cm", "1 m for lining"]\ncloth = "90 cm"\n'
    Path("short.order").write_text(text)
    result = tapeline("draft", "short.order", "--json", *DAY)
    told = [one for one in json.loads(result.stdout)["diagnostics"] if one["code"] == "O105"]
    assert [one["place"]["line"] for one in told] == [3, 3] and all(one["severity"] == "caution" for one in told)
    lines = tapeline("draft", "short.order", "--papers", "list", *DAY)
    assert lines.exit_code == 0
    (sheet,) = Path("short").rglob("*-cutting-list.txt")
    needed = told[0]["expected"].partition(",")[0]
    assert needed in sheet.read_text() and "too short" in told[0]["found"] and "lining" in told[1]["title"]
    Path("short.order").write_text(text.replace("60 cm", "3 m").replace(', "1 m for lining"', ""))
    assert "O105" not in tapeline("draft", "short.order", "--overwrite", *DAY).stderr


def test_another_version_is_told(ordered, tapeline, folder):
    (folder / "belt.style").write_text(strip("belt").replace("version 1.0", "version 1.1"))
    result = tapeline("draft", "ada-belt.order", *DAY)
    assert result.exit_code == 0 and "O104" in result.stderr
    assert "1.1, ordered 1.0" in tapeline("orders", *DAY).stdout


def test_what_is_wrong_with_a_choice_is_told_in_the_order(ordered, tapeline):
    order = Path("ada-belt.order")
    order.write_text(order.read_text().replace("lap =", "lop ="))
    result = tapeline("draft", "ada-belt.order", *DAY)
    assert result.exit_code == 1 and "C101" in result.stderr and "ada-belt.order:7:7" in result.stderr


def test_names_that_lead_nowhere_are_told(folder, tapeline):
    Path("one.order").write_text('client = "adda"\nstyle = "belt"\nhouse = "quay_raw"\n')
    result = tapeline("draft", "one.order", *DAY)
    assert result.exit_code == 3 and result.stderr.count("error F001") == 2
    assert "one.order:1:10" in result.stderr and "ada" in result.stderr and "quay_row" in result.stderr


def test_only_files_of_the_kind_are_offered(folder, tapeline):
    Path("our_house.toml").write_text('name = "Ours"\n')
    Path("folder.toml").mkdir()
    Path("one.order").write_text('client = "xyz"\nstyle = "belt"\nhouse = "zyx"\n')
    of_client, of_house = (line for line in tapeline("draft", "one.order", *DAY).stderr.splitlines() if "one of:" in line)
    assert "ada" in of_client and "our_house" not in of_client and "our_house" in of_house and "ada" not in of_house
    assert "folder" not in of_client + of_house


def test_links_are_not_followed_elsewhere(folder, tapeline, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "eve.toml").write_text(card("Eve"))
    (elsewhere / "eve.order").write_text('client = "ada"\nstyle = "belt"\n')
    Path("eve.toml").symlink_to(elsewhere / "eve.toml")
    Path("eve.order").symlink_to(elsewhere / "eve.order")
    Path("one.order").write_text('client = "eve"\nstyle = "belt"\n')
    assert "F001" in tapeline("draft", "one.order", *DAY).stderr
    assert [order["order"] for order in json.loads(tapeline("orders", "--json", *DAY).stdout)["orders"]] == ["one.order"]


def test_no_paper_goes_through_a_link(folder, tapeline, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    Path("one.order").write_text('client = "ada"\nstyle = "belt"\n')
    Path("one").symlink_to(elsewhere, target_is_directory=True)
    result = tapeline("draft", "one.order", *DAY)
    assert result.exit_code == 3 and "F004" in result.stderr and list(elsewhere.iterdir()) == []
    assert tapeline("draft", "one.order", "-o", elsewhere, *DAY).exit_code == 0  # that is the maker's own word


@pytest.mark.parametrize("option", [("--for", "ida.toml"), ("--set", "lap=2 cm"), ("--house", "quay_row"), ("--unit", "in")])
def test_an_order_says_these_itself(ordered, tapeline, option):
    result = tapeline("draft", "ada-belt.order", *option)
    assert result.exit_code == 2 and f"{option[0]} does not go with an order" in result.stderr


def test_orders_tell_what_has_changed_and_what_must_be_cut_again(ordered, tapeline, folder):
    def standing():
        (one,) = json.loads(tapeline("orders", "--json", *DAY).stdout)["orders"]
        return one["state"], one["changed"], one["cut_again"] or []

    assert standing() == ("as drafted", [], [])
    style = (folder / "belt.style").read_text()
    (folder / "belt.style").write_text(f"{style}-- a comment counts for nothing\n")
    assert standing() == ("as drafted", [], [])
    (folder / "belt.style").write_text(style.replace("+ lap", "+ lap + 1 cm"))
    assert standing() == ("stale", ["the style"], ["belt"])
    (folder / "belt.style").write_text(style.replace("from 1 cm", "from 2 cm"))  # a rule, which moves nothing
    assert standing() == ("stale", ["the style"], [])
    (folder / "belt.style").write_text(style)
    (folder / "ada.toml").write_text(card("Ada Quay", 74, 102))
    assert standing() == ("stale", ["the card, waist 72 cm -> 74 cm"], ["belt"])
    (folder / "ada.toml").write_text(card("Ada Quay", 72, 102))  # a measure of which the style knows nothing
    assert standing() == ("as drafted", [], [])
    order = folder / "ada-belt.order"
    text = order.read_text()
    order.write_text(text.replace('lap = "5 cm"', 'lap = "6 cm"'))
    assert standing() == ("stale", ["the order, lap"], ["belt"])
    order.write_text(text.replace('lap = "5 cm"', 'deep = "5 cm"'))  # as it is in the style, but the lap is set no more
    assert standing()[1] == ["the order, lap"]
    (folder / "loft.toml").write_text('[allowances]\nothers = "2 cm"\n')
    order.write_text(text.replace("papers", "papers").replace("date", 'house = "loft"\ndate'))
    assert standing()[1] == ["the house"]


def test_a_library_that_changed_is_told_where_the_style_uses_what_changed(folder, tapeline, monkeypatch):
    library = 'language 1\nlibrary room "Room"\nmuch = 3 cm\nlittle = 1 cm\n'
    (folder / "room.style").write_text(library)
    (folder / "belt.style").write_text(strip("belt").replace("measure", "use room\nmeasure").replace("+ lap", "+ lap + much"))
    Path("one.order").write_text('client = "ada"\nstyle = "belt"\n')
    assert tapeline("draft", "one.order", *DAY).exit_code == 0

    def told():
        (one,) = json.loads(tapeline("orders", "--json", *DAY).stdout)["orders"]
        return one["changed"], one["cut_again"]

    (folder / "room.style").write_text(library.replace("1 cm", "2 cm"))
    assert told() == ([], None)
    (folder / "room.style").write_text(library.replace("3 cm", "4 cm"))
    assert told() == (["the library room"], ["belt"])
    (folder / "room.style").write_text(library)
    monkeypatch.setattr(resting, "__version__", "9.9")
    assert told() == (["the program"], [])


def test_a_side_that_is_measured_otherwise_is_told(folder, tapeline):
    def told(left, right):
        sides = f'[left]\nwaist_to_hip = "{left} cm"\n[right]\nwaist_to_hip = "{right} cm"\n' if left != right else ""
        (folder / "ada.toml").write_text(card("Ada Quay") + sides)
        (one,) = json.loads(tapeline("orders", "--json", *DAY).stdout)["orders"]
        return one["changed"]

    Path("one.order").write_text('client = "ada"\nstyle = "plain_skirt"\n')
    assert tapeline("draft", "one.order", *DAY).exit_code == 0
    assert told(20, 20) == []
    assert told(20.5, 19.5) == ["the card, waist to hip, whose sides differ now"]
    assert tapeline("draft", "one.order", "--overwrite", *DAY).exit_code == 0
    assert told(20.5, 19.5) == []
    assert told(19.5, 20.5) == ["the card, left waist to hip 20.5 cm -> 19.5 cm, right waist to hip 19.5 cm -> 20.5 cm"]


def test_how_far_it_has_moved_is_told_in_the_unit_of_the_house(ordered, tapeline, folder):
    (folder / "ada.toml").write_text(card("Ada Quay", 74))
    result = tapeline("orders", *DAY)
    assert result.exit_code == 0
    assert "ada-belt, drafted 2026-11-30: changed since is the card, waist 72 cm -> 74 cm" in result.stdout
    assert "to cut again:" in result.stdout and "belt: B out 2 cm; D out 2 cm" in result.stdout


def test_orders_tell_what_is_late_and_what_cannot_be_read(ordered, tapeline, folder):
    Path("late.order").write_text('client = "ida"\nstyle = "belt"\ndue = 2026-11-30\n')
    Path("wrong.order").write_text('client = "ida"\nstile = "belt"\n')
    result = tapeline("orders", *DAY)
    assert result.exit_code == 1 and "wrong.order:2:1" in result.stderr
    rows = {line.split()[0]: line for line in result.stdout.splitlines() if line.strip()}
    assert "2026-11-30, late" in rows["late"] and "not drafted" in rows["late"]
    assert "cannot be drafted" in rows["wrong"] and "as drafted" in rows["ada-belt"]


def test_a_folder_without_orders(folder, tapeline):
    assert "There is no order" in tapeline("orders").stdout
    assert tapeline("orders", "none").exit_code == 3
