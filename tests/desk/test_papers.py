"""The papers that a draft is written on: which are made, that each knows its own files, and that no file is ever spoiled."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeline.desk.cli import program
from tapeline.making import writing as files
from tapeline.making.writing import is_ours, write_all
from tapeline.paper.kinds import ALL, KINDS, OF_A_DRAFT, OF_OTHER_COMMANDS, OF_SIZES, USUAL, UnknownKind, kinds_in

DRAFT = ("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out")
NAMES = {  # what each kind makes of that draft
    kind.name: {file.name.replace("STYLE", "plain_skirt").replace("PAPER", "A4-Letter") for file in kind.files} for kind in OF_A_DRAFT
}
STRANGERS = {  # files of the same kinds that other programs may have made
    ".svg": b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"/>',
    ".json": b'{"made_by": "hand"}',
    ".pdf": b"%PDF-1.4\n1 0 obj<</Creator (another)>>endobj\n%%EOF",
    ".html": b'<!DOCTYPE html>\n<meta name="generator" content="another">',
    ".txt": b"Cloth for Ada: two yards\n",
    ".dxf": b"  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nEOF\n",
    ".png": b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR",
    ".csv": b"size, waist [cm]\n10, 68\n",
    ".rul": b"ASTM/D13Proposal 1 Version: D 6673-04\r\nAUTHOR: another\r\n",
    ".toml": b'name = "Ada"\n[measures]\n',
    ".locked": b"locked 2\n",
}


@pytest.fixture(scope="module")
def everything(tmp_path_factory):
    """One draft on all its papers."""
    home = tmp_path_factory.mktemp("all")
    (home / "ada.toml").write_text('name = "Ada Quay"\n[measures]\nwaist = "72 cm"\nhip = "100 cm"\nwaist_to_hip = "20 cm"\n')
    result = CliRunner().invoke(
        program,
        [
            "draft",
            str(Path(__file__).parent / "plain_skirt.style"),
            "--for",
            str(home / "ada.toml"),
            "-o",
            str(home / "out"),
            "--papers",
            "all",
        ],
        catch_exceptions=False,
    )
    assert result.exit_code == 0, result.output
    return home / "out"


def test_all_is_every_paper_and_the_record(everything):
    assert {path.name for path in everything.iterdir()} == set().union(*NAMES.values(), {"pattern.json"})


@pytest.mark.parametrize("kind", ["list", "dxf"])
def test_only_what_is_asked_for(folder, tapeline, kind):
    assert tapeline(*DRAFT, "--papers", kind).exit_code == 0
    assert {path.name for path in (folder / "out").iterdir()} == NAMES[kind] | {"pattern.json"}


def test_kinds_may_be_listed_in_any_way():
    assert kinds_in("dxf, svg") == ("svg", "dxf") and kinds_in("SVG") == ("svg",)
    assert kinds_in(["dxf", "svg"]) == ("svg", "dxf") and kinds_in([]) == ()
    with pytest.raises(UnknownKind, match="'svg,dxf' is not one of"):
        kinds_in(["svg,dxf"])
    assert kinds_in("svg,all") == kinds_in("all") == tuple(KINDS) == tuple(NAMES)


@pytest.mark.parametrize("asked", ["pfd", "svg,pfd", "", "svg,", "all pdf"])
def test_an_unknown_kind_lists_those_there_are(folder, tapeline, asked):
    result = tapeline(*DRAFT, "--papers", asked)
    assert result.exit_code == 2 and ", ".join(NAMES) in " ".join(result.stderr.split())
    assert not (folder / "out").exists()


@pytest.mark.parametrize("asked", ["page", "svg, Page"])
def test_an_earlier_name_of_a_kind_leads_to_the_new_one(folder, tapeline, asked):
    result = tapeline(*DRAFT, "--papers", asked)
    assert result.exit_code == 2 and "'page' is now called 'proof'." in " ".join(result.stderr.split())
    assert not (folder / "out").exists()


def rows_of(kinds, named):
    """The rows of a table of the read-me, as the records have them."""
    for kind in kinds:
        files = ", ".join(f"`{file.name}`" for file in kind.files)
        yield (
            f"| `{kind.name}`{' (usual)' if kind.name in USUAL else ''} | {files} | {kind.words} |"
            if named
            else f"| {files} | {kind.words} |"
        )


@pytest.mark.parametrize("kinds, head", [(OF_A_DRAFT, "| kind | files | what for |"), (OF_SIZES, "| files | what for |")])
def test_the_tables_of_the_read_me_are_the_records(kinds, head):
    table = "\n".join([head, "|---" * (head.count("|") - 1) + "|", *rows_of(kinds, "kind" in head), ""])
    assert f"\n\n{table}\n" in (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8"), table


def test_kinds_are_told_apart():
    every = [*OF_A_DRAFT, *OF_SIZES, *OF_OTHER_COMMANDS]
    names = [*(kind.name for kind in every), *(kind.once for kind in every if kind.once), ALL]
    files = [file.name for kind in every for file in kind.files]
    assert len(names) == len(set(names)) and len(files) == len(set(files))
    assert {os.path.splitext(name)[1] for name in files} == set(STRANGERS)


def test_help_tells_every_kind(tapeline):
    told = " ".join(tapeline("draft", "--help").stdout.split())
    assert all(f"{kind} {one.words}" in told for kind, one in KINDS.items())


def test_a_usual_draft_loads_no_library_of_another_paper(folder):
    code = (
        "import sys; from tapeline.desk.cli import main\n"
        "try: main()\nexcept SystemExit as left: assert not left.code\n"
        "print([name for name in ('reportlab', 'pypdfium2', 'PIL') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code, *DRAFT], cwd=folder, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


class TestOwnFiles:
    def test_every_paper_bears_its_mark(self, everything):
        assert [path.name for path in sorted(everything.iterdir()) if not is_ours(path)] == []

    def test_a_mark_counts_only_under_its_own_ending(self, everything, tmp_path):
        for path in everything.iterdir():
            for ending in {*STRANGERS, ".style", ""} - {path.suffix}:
                other = tmp_path / f"renamed{ending}"
                other.write_bytes(path.read_bytes())
                assert not is_ours(other), (path.name, ending)

    @pytest.mark.parametrize("ending", STRANGERS)
    @pytest.mark.parametrize("data", [None, b"", b"\0\xff\xfe"])
    def test_what_another_made_is_a_stranger(self, tmp_path, ending, data):
        path = tmp_path / f"plain_skirt{ending}"
        path.write_bytes(STRANGERS[ending] if data is None else data)
        assert not is_ours(path)

    def test_what_is_no_plain_file_is_a_stranger(self, tmp_path):
        (tmp_path / "a.svg").mkdir()
        os.mkfifo(tmp_path / "b.svg")
        (tmp_path / "c.svg").symlink_to(tmp_path / "nothing")
        assert not any(is_ours(tmp_path / name) for name in ("a.svg", "b.svg", "c.svg", "d.svg"))


@pytest.mark.parametrize("kind", NAMES)
def test_a_stranger_of_any_kind_is_left_alone_until_told(everything, tmp_path, kind):
    """Whichever file of a kind is a stranger, nothing at all is written."""
    contents = {name: (everything / name).read_bytes() for name in (*sorted(NAMES[kind]), "pattern.json")}
    for name in contents:
        home = tmp_path / name
        home.mkdir()
        stranger = STRANGERS[os.path.splitext(name)[1]]
        (home / name).write_bytes(stranger)
        paths, found = write_all(home, contents, overwrite=False)
        assert not paths and [one.code for one in found] == ["F005"]
        assert [(path.name, path.read_bytes()) for path in home.iterdir()] == [(name, stranger)]
        assert write_all(home, contents, overwrite=True)[1] == []
        assert {path.name: path.read_bytes() for path in home.iterdir()} == contents
        assert write_all(home, contents, overwrite=False)[1] == []  # now they are its own


class TestWholeOrNotAtAll:
    CONTENTS = {
        "a.svg": "<?xml version='1.0'?><svg data-made-by=\"tapeline\">\u00e9</svg>",
        "b.pdf": b"%PDF-1.6\n/Creator (tapeline)\r\n\xff",
        "pattern.json": json.dumps({"made_by": "tapeline"}),
    }

    def test_text_and_bytes_are_written_as_they_are(self, tmp_path):
        paths, found = write_all(tmp_path / "new" / "folder", self.CONTENTS, overwrite=False)
        assert not found and [path.name for path in paths] == list(self.CONTENTS)
        assert (tmp_path / "new/folder/a.svg").read_bytes() == self.CONTENTS["a.svg"].encode()
        assert (tmp_path / "new/folder/b.pdf").read_bytes() == self.CONTENTS["b.pdf"]

    @pytest.mark.parametrize("breaks_at, links", [*((n, False) for n in range(1, 6)), *((n, True) for n in range(1, 4))])
    @pytest.mark.parametrize("problem", [OSError(28, "No space left on device"), KeyboardInterrupt()])
    def test_a_renaming_that_fails_puts_everything_back(self, tmp_path, monkeypatch, breaks_at, links, problem):
        """Two of the files are there already: three renamings into place, and two aside where no file can have two names."""
        before = {"a.svg": b'<?xml version="1.0"?><svg data-made-by="tapeline"/>', "pattern.json": b'{"made_by": "tapeline", "old": 1}'}
        for name, data in before.items():
            (tmp_path / name).write_bytes(data)
        calls, rename = [], os.replace

        def failing(one, other):
            calls.append(other)
            if len(calls) == breaks_at:
                raise problem
            rename(one, other)

        def no_links(*_, **__):
            raise PermissionError(1, "Operation not permitted")

        monkeypatch.setattr(files.os, "replace", failing)
        if not links:
            monkeypatch.setattr(files.os, "link", no_links)
        if isinstance(problem, OSError):
            paths, found = write_all(tmp_path, self.CONTENTS, overwrite=False)
            assert not paths and [one.code for one in found] == ["F004"] and "no space left" in found[0].found
        else:
            with pytest.raises(KeyboardInterrupt):
                write_all(tmp_path, self.CONTENTS, overwrite=False)
        assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before

    def test_nothing_is_left_over(self, tmp_path):
        for _ in range(2):
            write_all(tmp_path, self.CONTENTS, overwrite=False)
        assert sorted(path.name for path in tmp_path.iterdir()) == sorted(self.CONTENTS)
