"""The house rules that a reader can rely on: folders import downward only, modules stay short, no test is skipped
without saying why, and heavy libraries load only in the folder that owns them."""

import ast
import re
import subprocess
import sys
from collections import Counter
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
    "why": ("sizing", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "locking": ("finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "batch": ("finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "probing": ("batch", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    # the drafting sheet prints the plan's rules; a house file is read as a body card is
    "paper": ("why", "sizing", "locking", "probing", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "making": ("paper", "why", "sizing", "locking", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "live": ("making", "paper", "why", "sizing", "locking", "finishing", "drafting", "geometry", "meaning", "bodies", "source"),
    "tidy": ("drafting", "geometry", "meaning", "syntax", "bodies", "source"),
    "orders": ("making", "paper", "locking", "meaning", "bodies", "source"),
}
for above in ("editing", "serving", "desk"):  # each takes from all before it
    MAY_IMPORT[above] = tuple(MAY_IMPORT)
OUTSIDE = {  # what a folder may take from outside the standard library
    "source": ("platformdirs",),
    "syntax": ("lark",),
    "bodies": ("numpy",),
    "meaning": (),
    "geometry": ("numpy", "shapely"),
    "drafting": ("numpy",),
    "finishing": ("numpy",),
    "sizing": ("numpy",),
    "why": ("numpy",),
    "locking": ("numpy",),
    "batch": ("numpy", "distributed"),
    "probing": ("numpy",),
    "paper": ("numpy", "reportlab", "pypdfium2"),
    "making": ("numpy",),
    "live": ("numpy",),
    "tidy": (),
    "orders": ("numpy",),
    "editing": ("numpy",),
    "serving": ("numpy", "pygls", "lsprotocol", "websockets", "starlette", "uvicorn"),
    "desk": ("numpy", "click", "rich", "platformdirs", "pytest"),
}

MODULES = sorted(path for path in ROOT.rglob("*.py"))


def imports(path, text=None):
    """(line, module in full) of every import of a module, wherever it stands."""
    package = ("tapeline", *path.relative_to(ROOT).parent.parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8") if text is None else text)):
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


def test_the_tables_have_no_circle():
    assert circles(MAY_IMPORT) == circles(ROOMS) == []


def module_name(path):
    parts = ("tapeline", *path.relative_to(ROOT).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def module_graph(imported):
    """Module -> the modules that it imports, of {module: every full name in its imports}.  A package counts where it is named itself."""
    return {
        name: {target for full in wanted for target in [full if full in imported else full.rpartition(".")[0]] if target in imported}
        for name, wanted in imported.items()
    }


def circles(graph):
    """The sets of modules that import each other round about: the strongly connected parts of more than one module, or of
    one that imports itself (Tarjan 1972)."""
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    waiting: list[str] = []
    found = []

    def visit(name):
        order[name] = low[name] = len(order)
        waiting.append(name)
        for target in graph[name]:
            if target not in order:
                visit(target)
            if target in waiting:
                low[name] = min(low[name], low[target])
        if low[name] == order[name]:
            part = waiting[waiting.index(name) :]
            del waiting[-len(part) :]
            if len(part) > 1 or name in graph[name]:
                found.append(sorted(part))

    for name in graph:
        if name not in order:
            visit(name)
    return found


def test_no_module_imports_itself_round_about():
    """No circle among modules, counting every import wherever it stands: in functions, and under `if TYPE_CHECKING` too."""
    imported = {module_name(path): [full for _, full in imports(path)] for path in MODULES}
    assert circles(module_graph(imported)) == []


@pytest.mark.parametrize(
    "imported, found",
    [
        ({"a": ["b"], "b": ["c.word"], "c": []}, []),
        ({"a": ["b.word"], "b": ["c"], "c": ["a"]}, [["a", "b", "c"]]),
        ({"a": ["a.word"]}, [["a"]]),
        ({"p": ["p.a"], "p.a": ["p.b.word"], "p.b": ["p.a"], "p.c": ["p.a"]}, [["p.a", "p.b"]]),
        ({"p": ["p.a.word"], "p.a": ["p.b"], "p.b": []}, []),
    ],
)
def test_circles_are_found(imported, found):
    assert circles(module_graph(imported)) == found


def test_an_import_in_a_function_is_seen():
    path = ROOT / "paper" / "none.py"
    text = "def late():\n    from ..geometry import path\n    import math\n"
    assert list(imports(path, text)) == [(2, "tapeline.geometry.path"), (3, "math")]


ROOMS = {  # of `paper`: which of its rooms each may import
    "house": (),
    "drawing": ("house",),
    "sheets": ("drawing", "house"),
    "hand": ("sheets", "drawing", "house"),
    "making_up": ("cutting", "sheets", "drawing", "house"),
    "cutting": ("drawing", "house"),
    "cutter": ("drawing", "house"),
    "proof": ("cutting", "sheets", "drawing", "house"),
    "grading": ("sheets", "drawing", "house"),
    "pictures": ("sheets", "drawing", "house"),
}


def test_rooms_of_the_papers_import_downward_only():
    """A module that stands in no room, as `record`, takes from none."""
    wrong = []
    for path in sorted((ROOT / "paper").rglob("*.py")):
        inside = path.relative_to(ROOT / "paper").parts
        room = inside[0] if len(inside) > 1 else None
        assert room is None or room in ROOMS, f"{room} is not in the table"
        for line, name in imports(path):
            parts = name.split(".")
            if parts[:2] == ["tapeline", "paper"] and len(parts) > 2 and parts[2] not in (room, *ROOMS.get(room, ())):
                wrong.append(f"{path.relative_to(ROOT)}:{line} imports {name}")
    assert not wrong, "\n".join(wrong)


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


def test_no_two_classes_share_a_name():
    """Nodes of the syntax tree apart, which are called after what is written and everywhere spoken of as `tree.Name`."""
    tree = ROOT / "syntax" / "tree"
    names = Counter(
        node.name
        for path in MODULES
        if tree not in path.parents
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    )
    assert {name for name, count in names.items() if count > 1} == set()


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


def test_the_tests_that_the_developers_guide_names_are_there():
    text = (TESTS.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"pytest (tests/[\w/]+\.py)(?:::(\w+))?", text)
    assert len(named) > 4
    for path, test in named:
        source = (TESTS.parent / path).read_text(encoding="utf-8")
        assert not test or f"\ndef {test}(" in source, f"{path}::{test}"


def test_reading_a_style_loads_no_paper_and_no_shapely():
    code = (
        "import sys; import tapeline.meaning.style, tapeline.source.world; "
        "print([name for name in ('shapely', 'svgwrite', 'reportlab', 'pypdfium2', 'ezdxf', 'rich') if name in sys.modules])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"
