"""The commands that the read-me shows, said one after another in one folder, do what it says of them."""

import json
import re
import shlex
from pathlib import Path

import pytest

from tapeline.orders.order import read_order
from tapeline.source.text import Source

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
FAILS: dict[str, int] = {}  # the exit codes of commands that find something wrong: the skirt that is probed takes every body
BODIES = """size, underbust [cm], waist [cm], hip [cm], underbust_to_waist [cm], waist_to_hip [cm], waist_to_knee [cm]
one, 76, 68, 96, 9, 20, 58
two, 80, 72, 100, 9, 20, 59
"""
NEW_FILES = {
    "draft": "pattern*.json",
    "order": "*.order",
    "lock": "my_skirt.locked",
    "batch": "results.jsonl",
    "probe": "tiered_skirt-probe.txt",
}


def commands():
    for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL):
        yield from (line for line in block.splitlines() if line.startswith("tapeline "))


def test_the_read_me_shows_every_command_that_drafts():
    shown = {shlex.split(line)[1] for line in commands()}
    assert shown >= {"check", "draft", "order", "orders", "lock", "compare", "probe", "batch", "why"}


def test_the_commands_of_the_read_me_work(tmp_path, monkeypatch, tapeline):
    monkeypatch.chdir(tmp_path)
    (first,) = [block for block in re.findall(r"```style\n(.*?)```", README, re.DOTALL) if "first_skirt" in block]
    (tmp_path / "first_skirt.style").write_text(first)
    (tmp_path / "my_skirt.style").write_text((ROOT / "styles" / "straight_skirt.style").read_text(encoding="utf-8"))
    (tmp_path / "bodies.csv").write_text(BODIES)
    (card,) = [block for block in re.findall(r"```toml\n(.*?)```", README, re.DOTALL) if "[measures]" in block]
    (tmp_path / "ada.toml").write_text(card)
    (fittings,) = re.findall(r"```fittings\n(.*?)```", README, re.DOTALL)
    (tmp_path / "ada.fittings").write_text(fittings)
    for line in commands():
        _, command, *arguments = shlex.split(line)
        result = tapeline(command, *arguments)
        assert result.exit_code == FAILS.get(command, 0), f"{line}\n{result.output}"
        if command in NEW_FILES and "--sizes" not in arguments or command == "lock":
            assert list(tmp_path.rglob(NEW_FILES[command])), line
    taken = {folder: json.loads((tmp_path / folder / "pattern.json").read_text())["fittings"] for folder in ("ada", "ada-fitted")}
    assert (taken["ada"], [one["date"] for one in taken["ada-fitted"]]) == ([], ["2026-12-05"])
    names = {path.name for path in (tmp_path / "out").iterdir()}
    for name in ("nest.svg", "grading.txt", "grading.csv", "slopes.csv"):
        assert f"straight_skirt-{name}" in names
    assert "straight_skirt.rul" in names


def test_the_order_of_the_read_me_is_one():
    (text,) = [block for block in re.findall(r"```toml\n(.*?)```", README, re.DOTALL) if block.startswith("client")]
    order, told = read_order(Source("nell-straight_skirt.order", text))
    assert order is not None and told == []


def test_the_answer_that_the_read_me_shows_is_the_one_that_is_given(tapeline):
    (shown,) = [block for block in re.findall(r"```text\n(.*?)```", README, re.DOTALL) if block.startswith("hip_quarter")]
    assert shown == tapeline("why", "corselet_skirt", "--for", "nell", "hip_quarter").stdout


@pytest.mark.parametrize("option", sorted(set(re.findall(r"`(--[a-z-]+)", README))))
def test_every_option_that_the_read_me_names_is_one(option, tapeline):
    told = "".join(
        tapeline(command, "--help").output
        for command in ("check", "draft", "order", "orders", "lock", "compare", "probe", "batch", "picture", "why", "tidy", "begin")
    )
    assert option in told


def test_what_the_read_me_says_in_python_runs(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    names: dict = {}
    blocks = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    for block in blocks:
        exec(compile(block, "README.md", "exec"), names)
    assert len(blocks) == 2 and names["drafts"].ok and len(names["drafts"]) == 1
    said = re.search(r"print\(.*#\ (.*)", blocks[0])[1]
    assert capsys.readouterr().out == f"{said}\n"
    assert list(tmp_path.iterdir()) == []
