"""Each operation has one record, and plans keep to it: every step of every style takes and gives the kinds that its record says;
what works on quantities can also be carried out over boxes of bodies, or says why not; what changes a piece is told by hand."""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest

from tapeline.drafting import courses
from tapeline.drafting.operations import OPERATIONS, any_kind, like_first, like_last, operation
from tapeline.drafting.steps import Run
from tapeline.meaning.functions import FUNCTIONS
from tapeline.meaning.kinds import CONDITION, DIRECTION, EDGE, LEVEL, PAIR, PATH, POINT, SHAPE
from tapeline.meaning.lowering import Lowering
from tapeline.meaning.plan import Value
from tapeline.meaning.style import read
from tapeline.paper.hand import changes, points
from tapeline.source.diagnostics import has_errors
from tapeline.source.world import FolderWorld, read_text, standard_folder

TESTS = Path(__file__).resolve().parents[1]
STYLES = sorted([*standard_folder("styles").glob("*.style"), *(TESTS / "worked").glob("*.style")])
assert changes and points and courses  # they fill the table, and add how an operation is done by hand
NEVER_MET = {"find"}  # put in place of a find until its steps are known (meaning/finds.py)


@pytest.fixture
def emitted(monkeypatch):
    """(operation, kinds taken, kind given, names and kinds of what is taken by name) of every step that is lowered."""
    steps, emit = [], Lowering.emit

    def noted(self, operation, kind, span, *inputs, by_name=None, **options):
        value = emit(self, operation, kind, span, *inputs, by_name=by_name, **options)
        if value.slot >= 0:
            groups = {name: [one] if isinstance(one, Value) else one for name, one in (by_name or {}).items()}
            named = [(name, one.kind) for name, group in groups.items() for one in group]
            steps.append((operation, [one.kind for one in inputs], value.kind, named))
        return value

    monkeypatch.setattr(Lowering, "emit", noted)
    return steps


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_every_step_takes_and_gives_what_its_record_says(path, emitted):
    style, diagnostics = read(read_text(path)[0], FolderWorld(path.parent))
    assert style is not None and not has_errors(diagnostics)
    style.plans()
    assert emitted
    wrong = {OPERATIONS[operation].refusal(kinds, given) for operation, kinds, given, _ in emitted if operation not in NEVER_MET} - {""}
    assert not wrong


DRAWN = (POINT, DIRECTION, PATH, EDGE, SHAPE, LEVEL, PAIR)


def rests_on_drawing(record):
    """Whether what is drawn goes in: points, lines, edges or shapes."""
    taken = [*record.takes, *record.named.values(), *([record.more] if record.more is not None else [])]
    own = [one for one in taken if one not in (like_first, like_last, any_kind)]  # what these take is said by another input
    return any(one in DRAWN or (callable(one) and any(one(kind, [kind]) for kind in DRAWN)) for one in own)


def test_what_works_on_quantities_is_proved_or_says_why_not():
    for record in OPERATIONS.values():
        if record.gives not in DRAWN and not rests_on_drawing(record):
            assert (record.intervals is None) == bool(record.sampled), record.name
        else:
            assert not record.sampled, record.name


def test_intervals_take_the_same_options_as_the_work():
    for record in OPERATIONS.values():
        if record.intervals is not None:
            options = [
                {name for name, one in inspect.signature(work).parameters.items() if one.kind is one.KEYWORD_ONLY}
                for work in (record.work, record.intervals)
            ]
            assert options[0] == options[1], record.name


def test_what_changes_a_piece_is_told_by_hand():
    for record in OPERATIONS.values():
        if record.gives in (SHAPE, PAIR) and record.takes:
            assert record.instruction is not None, record.name


def test_every_function_names_an_operation_that_takes_what_it_takes():
    for function in FUNCTIONS.values():
        record = OPERATIONS[function.operation]
        for kind in KINDS:
            if function.takes.fits(kind):
                assert record.refusal([kind] * function.least, function.gives(kind)) == "", (function.name, kind)


KINDS = [record.gives for record in OPERATIONS.values() if isinstance(record.gives, type(CONDITION))]


@pytest.mark.parametrize(
    ("name", "kinds", "given", "said"),
    [
        ("shift", ("point", "number"), "point", "shift does not take number as input 2"),
        ("shift", ("point",), "point", "shift takes 2 inputs, not 1"),
        ("add", ("length", "number"), "length", "add does not take number as input 2"),
        ("multiply", ("length", "length"), "length", "multiply gives area, not length"),
        ("multiply", ("length", "length"), "area", ""),
        ("least", ("length", "length", "area"), "length", "least does not take area as input 3"),
        ("choose", ("condition",), "condition", ""),
        ("choose", ("length", "length", "angle"), "length", "choose does not take angle as input 3"),
    ],
)
def test_a_step_of_other_kinds_is_refused(name, kinds, given, said):
    known = {kind.word: kind for kind in KINDS} | {"area": OPERATIONS["piece_area"].gives}
    assert OPERATIONS[name].refusal([known[kind] for kind in kinds], known[given]) == said


def test_a_record_is_entered_once():
    with pytest.raises(ValueError, match="two operations are called add"):

        @operation()
        def add(run: Run):
            return None
