"""The editor's bundle is what its packages make of it, and says under which licences they are."""

import json
import os
import re
import shutil
import subprocess
import urllib.request
from hashlib import sha256

import pytest

from tapeline.serving.page import PAGE

SUMS = {  # of what `npm ci && node build.mjs` makes, on Linux
    "editor.bundle.js": "39f2d9b33fcff038bcd9f8b2da17385ba5d713c3aad2cb20531eff387cf524b9",
    "editor.licences.txt": "b6c53090cc72c066038e623556aab1a9a52eb6d49ff7164942824650dbac2282",
}
EDITOR = PAGE / "editor"


@pytest.mark.parametrize("name", SUMS)
def test_the_files_are_those_that_were_built(name):
    assert sha256((PAGE / name).read_bytes()).hexdigest() == SUMS[name]


def test_every_package_in_it_is_told_with_its_licence():
    locked = json.loads((EDITOR / "package-lock.json").read_text())["packages"]
    wanted = json.loads((EDITOR / "package.json").read_text())
    assert all(re.fullmatch(r"[\d.]+", version) for group in ("dependencies", "devDependencies") for version in wanted[group].values())
    assert all(one["integrity"].startswith("sha512-") for name, one in locked.items() if name)
    told = dict(
        re.findall(r"^(@?[\w/-]+) ([\d.]+) \((?:MIT|ISC|BSD-\d-Clause|Apache-2.0)\)$", (PAGE / "editor.licences.txt").read_text(), re.M)
    )
    assert set(wanted["dependencies"]) <= set(told)
    for name, version in told.items():
        assert locked[f"node_modules/{name}"]["version"] == version
    assert "Permission is hereby granted" in (PAGE / "editor.licences.txt").read_text()


def test_the_bundle_shows_no_markup_of_a_text():
    """What the server tells goes through the words of `words.js`; the package that would read markup in it is not there."""
    assert "&#${" in (PAGE / "editor.bundle.js").read_text() and "marked" not in (PAGE / "editor.licences.txt").read_text()


def test_the_same_packages_give_the_same_bytes(tmp_path):
    if not shutil.which("npm") or not shutil.which("node"):
        pytest.skip("the bundle is built anew where npm and node are, and here they are not")
    try:
        urllib.request.urlopen("https://registry.npmjs.org/-/ping", timeout=5).close()
    except OSError as problem:
        pytest.skip(f"the bundle is built anew where npm's registry can be reached, and here it cannot: {problem}")
    for file in EDITOR.iterdir():
        if file.is_file():
            shutil.copy(file, tmp_path)
    environment = {**os.environ, "npm_config_cache": str(tmp_path / "cache"), "npm_config_update_notifier": "false"}
    for words in (["npm", "ci", "--no-audit", "--no-fund"], ["node", "build.mjs", "."]):
        done = subprocess.run(words, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=240)
        assert done.returncode == 0, done.stderr
    for name, known in SUMS.items():
        assert sha256((tmp_path / name).read_bytes()).hexdigest() == known, name
