"""The house rules that a reader can rely on: folders import downward only, modules stay short, no test is skipped
without saying why, and heavy libraries load only in the folder that owns them."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import tapeline

ROOT = Path(tapeline.__file__).parent
TESTS = Path(__file__).parents[1]
MOST_LINES = 600

MAY_IMPORT = {
    "source": (),
    "syntax": ("source",),
    "bodies": ("source",),
    "meaning": ("source", "syntax", "bodies"),
    "geometry": (),
    "drafting": ("geometry", "meaning", "source"),
    "finishing": ("geometry", "drafting", "meaning", "source"),
    "sizing": ("finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "locking": ("finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "batch": ("finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "probing": ("batch", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    # the drafting sheet prints the plan's rules; a house file is read as a body card is
    "paper": ("sizing", "locking", "probing", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "desk": (
        "source",
        "syntax",
        "bodies",
        "meaning",
        "geometry",
        "drafting",
        "finishing",
        "sizing",
        "locking",
        "batch",
        "probing",
        "paper",
    ),
}
OUTSIDE = {  # what a folder may take from outside the standard library
    "source": ("platformdirs",),
    "syntax": ("lark",),
    "bodies": ("numpy",),
    "meaning": (),
    "geometry": ("numpy", "shapely"),
    "drafting": ("numpy",),
    "finishing": ("numpy",),
    "sizing": ("numpy",),
    "locking": ("numpy",),
    "batch": ("numpy", "distributed"),
    "probing": ("numpy",),
    "paper": ("numpy", "svgwrite", "reportlab", "pypdfium2"),
    "desk": ("numpy", "click", "rich", "platformdirs", "pytest"),
}

MODULES = sorted(path for path in ROOT.rglob("*.py"))


def imports(path):
    """(line, module in full) of every import of a module, wherever it stands."""
    package = ("tapeline", *path.relative_to(ROOT).parent.parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for name in node.names:
                yield node.lineno, name.name
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            stem = ".".join([*base, *((node.module,) if node.module else ())])
            for name in node.names:
                yield node.lineno, f"{stem}.{name.name}"


def home(path):
    """The folder a module belongs to; None for the package's own front."""
    parts = path.relative_to(ROOT).parts
    return parts[0] if len(parts) > 1 else None


def test_every_folder_is_in_the_table():
    folders = {home(path) for path in MODULES} - {None, "stdlib", "styles"}
    assert folders <= set(MAY_IMPORT)
    assert {"source", "syntax", "meaning", "geometry", "drafting"} <= folders


@pytest.mark.parametrize("folder", MAY_IMPORT)
def test_folders_import_downward_only(folder):
    wrong = []
    for path in MODULES:
        if home(path) != folder:
            continue
        for line, name in imports(path):
            parts = name.split(".")
            if parts[0] != "tapeline":
                if parts[0] not in sys.stdlib_module_names and parts[0] not in OUTSIDE[folder]:
                    wrong.append(f"{path.relative_to(ROOT)}:{line} takes {parts[0]}")
            elif len(parts) > 1 and parts[1] in MAY_IMPORT and parts[1] not in (folder, *MAY_IMPORT[folder]):
                wrong.append(f"{path.relative_to(ROOT)}:{line} imports {name}")
    assert not wrong, "\n".join(wrong)


def test_the_table_has_no_circle():
    done: list[str] = []
    while len(done) < len(MAY_IMPORT):
        ready = [folder for folder, below in MAY_IMPORT.items() if folder not in done and set(below) <= set(done)]
        assert ready, f"a circle among {sorted(set(MAY_IMPORT) - set(done))}"
        done += ready


def test_no_module_imports_itself_round_about():
    """No circle among modules, counting imports at the head of a module alone."""
    names = {".".join(("tapeline", *path.relative_to(ROOT).with_suffix("").parts)): path for path in MODULES}
    graph = {}
    for name, path in names.items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        heads = {node.lineno for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)}
        wanted = [full for line, full in imports(path) if line in heads]
        graph[name] = sorted(
            {target for full in wanted for target in (full, full.rpartition(".")[0]) if target in names and target != name}
        )
    done: set[str] = set()
    while len(done) < len(graph):
        ready = [name for name, below in graph.items() if name not in done and set(below) <= done]
        assert ready, f"a circle among {sorted(set(graph) - done)}"
        done.update(ready)


LONGER = ("test_geometry.py", "test_finishing.py")  # the laws of one whole folder each


def test_files_stay_short():
    lengths = {
        path: len(path.read_text(encoding="utf-8").splitlines())
        for path in [*MODULES, *sorted(TESTS.rglob("*.py"))]
        if path.name not in LONGER
    }
    long = [f"{path.name}: {length} lines" for path, length in lengths.items() if length >= MOST_LINES]
    assert not long


def test_every_module_opens_with_prose():
    silent = [
        str(path.relative_to(ROOT))
        for path in MODULES
        if not ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) and path.read_text().strip()
    ]
    assert not silent


SKIPPING = ("skip", "skipif", "xfail")


def test_no_test_is_skipped_without_a_reason():
    wrong = []
    for path in sorted(TESTS.rglob("*.py")):
        nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
        reasoned = {id(node.func) for node in nodes if isinstance(node, ast.Call) and gives_reason(node)}
        wrong += [
            f"{path.name}:{node.lineno}"
            for node in nodes
            if isinstance(node, ast.Attribute) and node.attr in SKIPPING and "pytest" in ast.unparse(node) and id(node) not in reasoned
        ]
    assert not wrong, f"skipped without a reason: {wrong}"


def gives_reason(call):
    """Whether a call of skip, skipif or xfail says why in words."""
    said = [word.value for word in call.keywords if word.arg == "reason"]
    if isinstance(call.func, ast.Attribute) and call.func.attr == "skip":
        said += call.args[:1]
    return any(isinstance(one, ast.JoinedStr) or (isinstance(one, ast.Constant) and bool(one.value)) for one in said)


@pytest.mark.parametrize(
    "text, sound",
    [
        ("pytest.skip()", False),
        ("pytest.skip('')", False),
        ("pytest.mark.xfail(strict=True)", False),
        ("pytest.skip('no body has so long a back')", True),
        ("pytest.mark.skipif(True, reason='needs a printer')", True),
    ],
)
def test_the_reason_is_looked_for(text, sound):
    assert gives_reason(ast.parse(text, mode="eval").body) is sound


def test_reading_a_style_loads_no_paper_and_no_shapely():
    code = (
        "import sys; import tapeline.meaning.style, tapeline.source.world; "
        "print([name for name in ('shapely', 'svgwrite', 'reportlab', 'pypdfium2', 'ezdxf', 'rich') if name in sys.modules])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"
