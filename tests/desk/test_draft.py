"""The command that drafts: its papers, its ledgers, its refusals, and its exit codes."""

import json
import os
import re
import subprocess
import sys

import pytest

DRAFT = ("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out")


def test_both_papers_are_written_and_named(drafted):
    assert sorted(path.name for path in (drafted / "out").iterdir()) == ["pattern.json", "plain_skirt.svg"]


def test_the_ledger_names_the_dart_that_has_narrowed(folder, tapeline):
    # By similar triangles: 4 cm down a dart of 13 cm, 2 cm wide, 2 x 4/13 = 0.615 cm is no longer taken out;
    # each panel is on the fold, so twice that a panel, four times all round.
    result = tapeline(*DRAFT)
    row = next(line for line in result.stdout.splitlines() if line.strip().startswith("waist"))
    assert "72 cm" in row and "74.46 cm" in row and "+2.46 cm" in row
    head = next(line for line in result.stdout.splitlines() if "because of" in line)
    start, end = head.index("because of"), head.index("  line")
    reasons = " ".join(" ".join(line[start:end].split()) for line in result.stdout.splitlines())  # a long one runs on below
    assert "front.dart has narrowed by 1.23 cm; back.dart has narrowed by 1.23 cm" in reasons


def test_tables_show_seams_and_allowances_in_the_unit_asked_for(folder, tapeline):
    result = tapeline(*DRAFT, "--unit", "in")
    rows = [line.split() for line in result.stdout.splitlines()]
    assert any(row[:2] == ["front.side", "back.side"] and row[-2:] == ["1/16", "in"] for row in rows)
    assert any(row[:3] == ["front", "centre", "none"] and "fold" in row for row in rows)
    hip = next(row for row in rows if row[:1] == ["hip"])
    assert "40 15/16 in" in " ".join(hip)  # 104 cm is 40.945 in


def test_a_card_in_inches_is_answered_in_inches(folder, tapeline):
    (folder / "ada.toml").write_text('[measures]\nwaist = "28 in"\nhip = "38 in"\nwaist_to_hip = "8 in"\n')
    result = tapeline(*DRAFT)
    row = next(line for line in result.stdout.splitlines() if line.strip().startswith("waist"))
    assert "28 in" in row and " cm" not in row


def test_choices_reach_the_pattern(folder, tapeline):
    assert tapeline(*DRAFT, "--set", "length=20 in", "--set", "flare=1/10", "--set", "dropped=yes").exit_code == 0
    record = json.loads((folder / "out/pattern.json").read_text())
    assert record["choices"] == {"length": 508.0, "flare": 0.1, "dropped": True}
    hem = next(row for row in record["ledgers"]["girths"] if row["level"] == "hem")
    assert hem["sewn"] == pytest.approx(1040 * 1.1, abs=1e-4)
    back = next(piece for piece in record["pieces"] if piece["name"] == "back")
    assert back["points"]["top_centre"] == [0.0, 10.0]


def test_a_percentage_is_a_hundredth(folder, tapeline):
    assert tapeline(*DRAFT, "--set", "flare = 12.5%").exit_code == 0
    assert json.loads((folder / "out/pattern.json").read_text())["choices"]["flare"] == 0.125


@pytest.mark.parametrize(
    "setting, code, word",
    [
        ("lenght=60 cm", "C101", 'Did you mean "length"?'),
        ("length=60", "C102", "length='60 cm'"),
        ("length=long", "C103", "a length with its unit"),
        ("length=", "C103", "nothing"),
        ("length=" + "9" * 5000 + " cm", "C103", "a length with its unit"),
        ("flare=x", "C103", "a number"),
        ("dropped=1", "C103", "yes or no"),
        ("length=200 cm", "D402", "40 cm to 90 cm"),
    ],
)
def test_a_wrong_choice_is_told_and_nothing_written(folder, tapeline, setting, code, word):
    result = tapeline(*DRAFT, "--set", setting)
    assert result.exit_code == 1
    assert f"error {code}:" in result.stderr and word in result.stderr
    assert not (folder / "out").exists()


def test_a_count_is_whole(folder, tapeline, changed):
    changed("choose dropped", 'choose many 2 from 1 to 4 "darts in front"\nchoose dropped')
    style = (folder / "plain_skirt.style").read_text()
    dart = "    dart on top at half\n        intake 2 cm\n        point  13 cm long, plumb\n"
    series = "    darts many on top, evenly between centre and side\n        intake 1 cm each\n        points 10 cm long\n"
    for_both = style.replace(dart, series)
    (folder / "plain_skirt.style").write_text(for_both)
    assert tapeline(*DRAFT, "--set", "many=3").exit_code == 0
    record = json.loads((folder / "out/pattern.json").read_text())
    assert [len(edge["darts"]) for edge in record["pieces"][0]["edges"]] == [0, 3, 0, 0]
    refused = tapeline(*DRAFT, "--set", "many=2.5")
    assert refused.exit_code == 1 and "a whole number" in refused.stderr


def test_a_choice_set_twice(folder, tapeline):
    result = tapeline(*DRAFT, "--set", "flare=1%", "--set", "flare=2%")
    assert result.exit_code == 1 and "C104" in result.stderr


def test_every_wrong_choice_is_told_at_once(folder, tapeline):
    result = tapeline(*DRAFT, "--set", "a=1", "--set", "length=3", "--set", "dropped=maybe")
    assert [code for code in ("C101", "C102", "C103") if code in result.stderr] == ["C101", "C102", "C103"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("draft", "plain_skirt.style"),
        ("draft", "plain_skirt.style", "--for", "ada.toml"),
        (*DRAFT, "--set", "length"),
        (*DRAFT, "--set", "=3"),
        (*DRAFT, "--unit", "ell"),
        ("sew",),
    ],
)
def test_usage(folder, tapeline, arguments):
    assert tapeline(*arguments).exit_code == 2
    assert not (folder / "out").exists()


def test_cautions_do_not_hold_the_draft_back(folder, tapeline):
    result = tapeline(*DRAFT, "--set", "flare=16%")
    assert result.exit_code == 0
    assert result.stderr.startswith("caution: The hem will flute") and "code D461" in result.stderr
    notes = json.loads((folder / "out/pattern.json").read_text())["notes"]
    assert [(note["code"], note["title"]) for note in notes] == [("D461", "The hem will flute")]


def test_a_missing_measure_says_how_it_is_taken(folder, tapeline, changed):
    changed('hip          = "100 cm"', "", "ada.toml")
    result = tapeline(*DRAFT)
    assert result.exit_code == 1 and "error B113: hip is needed" in result.stderr
    assert not (folder / "out").exists()


def test_a_body_the_style_cannot_fit(folder, tapeline, changed):
    changed("13 cm long", "90 cm long")
    result = tapeline(*DRAFT)
    assert result.exit_code == 1 and "D424" in result.stderr and "Traceback" not in result.output
    assert not (folder / "out").exists()


def test_an_allowance_that_cannot_be_cut(folder, tapeline, changed):
    changed("hem  4 cm turned up", "hem  90 cm turned up")
    result = tapeline(*DRAFT)
    assert result.exit_code == 1 and "error T50" in result.stderr
    assert not (folder / "out").exists()


class TestAccept:
    def test_a_hard_to_believe_measure_is_refused_then_accepted(self, folder, tapeline, changed):
        changed('"20 cm"', '"45 cm"', "ada.toml")
        changed("length   60 cm", "length   80 cm")
        refused = tapeline(*DRAFT)
        assert refused.exit_code == 1 and "error B108" in refused.stderr
        accepted = tapeline(*DRAFT, "--accept")
        assert accepted.exit_code == 0, accepted.stderr
        assert "caution: waist_to_hip is hard to believe" in accepted.stderr
        assert (folder / "out/pattern.json").exists()

    def test_nothing_else_is_accepted(self, folder, tapeline, changed):
        changed('"20 cm"', '"20"', "ada.toml")
        assert "error B105" in tapeline(*DRAFT, "--accept").stderr

    def test_what_no_body_can_have_stays_an_error(self, folder, tapeline, changed):
        changed('"72 cm"', '"7200 cm"', "ada.toml")
        result = tapeline(*DRAFT, "--accept")
        assert result.exit_code == 1 and "error B108" in result.stderr


class TestFiles:
    def test_its_own_papers_are_replaced(self, drafted, tapeline):
        before = (drafted / "out/pattern.json").read_text()
        assert tapeline(*DRAFT, "--set", "flare=0%").exit_code == 0
        assert (drafted / "out/pattern.json").read_text() != before

    @pytest.mark.parametrize(
        "name, text",
        [
            ("pattern.json", '{"made_by": "hand"}'),
            ("pattern.json", "not json"),
            ("pattern.json", "[" * 100_000),
            ("plain_skirt.svg", "<svg/>"),
            ("plain_skirt.svg", "\0\0"),
        ],
    )
    def test_a_stranger_is_left_alone_until_told(self, folder, tapeline, name, text):
        (folder / "out").mkdir()
        (folder / "out" / name).write_text(text)
        result = tapeline(*DRAFT)
        assert result.exit_code == 3 and "error F005" in result.stderr and "--overwrite" in result.stderr
        assert [path.name for path in (folder / "out").iterdir()] == [name]
        assert (folder / "out" / name).read_text() == text
        assert tapeline(*DRAFT, "--overwrite").exit_code == 0
        assert (folder / "out" / name).read_text() != text

    def test_a_file_where_the_folder_should_be(self, folder, tapeline):
        (folder / "out").write_text("mine")
        result = tapeline(*DRAFT)
        assert result.exit_code == 3 and "error F004" in result.stderr
        assert (folder / "out").read_text() == "mine"

    def test_a_folder_where_a_paper_should_be(self, folder, tapeline):
        (folder / "out/pattern.json").mkdir(parents=True)
        assert tapeline(*DRAFT, "--overwrite").exit_code == 3
        assert [path.name for path in (folder / "out").iterdir()] == ["pattern.json"]

    def test_a_write_that_breaks_off_leaves_the_old_papers_whole(self, drafted, tapeline, monkeypatch):
        import tapeline.making.writing as files

        before = {path.name: path.read_bytes() for path in (drafted / "out").iterdir()}
        opened = []

        def failing(path, mode="r", **options):
            if mode == "xb":
                opened.append(path)
                if len(opened) == 2:
                    raise OSError(28, "No space left on device", str(path))
            return open(path, mode, **options)

        monkeypatch.setattr(files, "open", failing, raising=False)
        result = tapeline(*DRAFT, "--set", "flare=0%")
        assert result.exit_code == 3 and "no space left" in result.stderr and len(opened) == 2
        assert {path.name: path.read_bytes() for path in (drafted / "out").iterdir()} == before

    @pytest.mark.parametrize(
        "style, body, word",
        [
            ("nowhere.style", "ada.toml", "There is no such file"),
            ("plain_skirt.style", "nobody.toml", "In that folder there are: ada.toml"),
            ("corselet_skrt", "ada.toml", 'Did you mean "corselet_skirt"?'),
            ("plain_skirt.style", "mauld", 'Did you mean "maud"?'),
            (".", "ada.toml", "a folder, not a file"),
            ("broken.style", "ada.toml", "not a UTF-8 text"),
            ("plain_skirt.style", "broken.style", "not a UTF-8 text"),
        ],
    )
    def test_what_cannot_be_read(self, folder, tapeline, style, body, word):
        (folder / "broken.style").write_bytes(b"language 1\n\xff\xfe")
        result = tapeline("draft", style, "--for", body, "-o", "out")
        assert result.exit_code == 3 and word in result.stderr
        assert not (folder / "out").exists()

    def test_shipped_styles_and_bodies_have_bare_names(self, folder, tapeline):
        result = tapeline("draft", "corselet_skirt", "--for", "maud", "-o", "out")
        assert result.exit_code == 0, result.stderr
        assert (folder / "out/corselet_skirt.svg").exists()


class TestJson:
    def test_a_good_draft(self, folder, tapeline):
        result = tapeline(*DRAFT, "--set", "flare=16%", "--json")
        data = json.loads(result.stdout)
        assert result.stderr == ""
        assert (data["command"], data["exit"], result.exit_code) == ("draft", 0, 0)
        assert data["files"] == ["out/plain_skirt.svg", "out/pattern.json"]
        [caution] = data["diagnostics"]
        assert caution["code"] == "D461" and caution["severity"] == "caution" and caution["body"] == "Ada Quay"
        line = (folder / "plain_skirt.style").read_text().splitlines()[caution["place"]["line"] - 1]
        assert line == "caution when flare more than 15 %"

    def test_a_bad_one(self, folder, tapeline):
        result = tapeline(*DRAFT, "--set", "lenght=60 cm", "--json")
        data = json.loads(result.stdout)
        assert (data["exit"], result.exit_code, data["files"]) == (1, 1, [])
        assert [one["code"] for one in data["diagnostics"]] == ["C101"]


def test_a_fault_of_the_program_is_one_sentence(folder, monkeypatch, capsys):
    import tapeline.desk.cli as cli
    from tapeline.session import Reading

    monkeypatch.setattr(Reading, "draft", lambda *_, **__: 1 / 0)
    monkeypatch.setattr(sys, "argv", ["tapeline", *DRAFT])
    with pytest.raises(SystemExit) as left:
        cli.main()
    told = capsys.readouterr().err
    assert left.value.code == 70
    assert told.count("\n") == 1 and "ZeroDivisionError" in told and "Traceback" not in told


def test_same_bytes_in_any_folder_with_any_hash_seed(folder):
    """All papers and the tables of two processes with unlike seeds, zones and working folders."""
    runs = []
    (folder / "elsewhere").mkdir()
    for seed, zone, here in (("1", "UTC", folder), ("77", "Asia/Tokyo", folder / "elsewhere")):
        out = here / f"out{seed}"
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "tapeline.desk.cli",
                "draft",
                folder / "plain_skirt.style",
                "--for",
                folder / "ada.toml",
                "-o",
                out,
                "--set",
                "dropped=yes",
                "--papers",
                "all",
                "--house",
                "sailmakers_loft",
            ],
            cwd=here,
            capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
        )
        assert done.returncode == 0, done.stderr
        tables = done.stdout.split(b"written:")[0]
        runs.append((tables, [(path.name, path.read_bytes()) for path in sorted(out.iterdir())]))
    assert runs[0] == runs[1]


def test_all_that_is_wrong_with_a_card_and_the_choices_is_told_at_once(folder, tapeline):
    (folder / "ada.toml").write_text('[measures]\nwiast = "70 cm"\nhip = "96"\n')
    result = tapeline(*DRAFT, "--set", "lenth=60 cm", "--set", "length=200 cm")
    assert result.exit_code == 1
    assert re.findall("^error (....)", result.stderr, re.MULTILINE) == ["B104", "B105", "B113", "C101", "D402"]


def test_choices_out_of_their_ranges_are_told_together_and_nothing_that_comes_of_them(folder, tapeline):
    result = tapeline(*DRAFT, "--set", "length=200 cm", "--set", "flare=300%")
    assert re.findall("^error (....)", result.stderr, re.MULTILINE) == ["D402", "D402"]


def test_the_date_is_given_or_taken_from_the_environment_or_the_day(drafted, tapeline, monkeypatch):
    import json
    from datetime import datetime

    def date(*arguments):
        result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", *arguments)
        assert result.exit_code == 0, result.stderr
        return json.loads((drafted / "out/pattern.json").read_text())["date"]

    assert date("--date", "2026-11-30") == "2026-11-30T00:00"
    assert date("--date", "2026-11-30T14:05") == "2026-11-30T14:05"
    assert date() == "2026-03-02T12:34"  # SOURCE_DATE_EPOCH, which all tests have
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert date() == "1970-01-02T00:00"
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    assert abs((datetime.fromisoformat(date()) - datetime.now()).total_seconds()) < 600
    for environment, arguments in (("", ["--date", "30.11.2026"]), ("yesterday", []), ("9" * 30, [])):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", environment)
        result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", *arguments)
        assert result.exit_code == 2 and "date" in result.stderr.casefold()
