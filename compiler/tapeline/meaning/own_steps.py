"""A style's own steps of making up: what they work on, and what they come after and before.

A step of the style names edges and darts by their piece, or by their name alone in every piece that has one; a step that a
piece says, or the recipe it is made from, names its own.  Behind `after` and `before` may also stand another step, that of a
piece with the piece before it.  Steps that wait for each other in a circle are refused here; whether all they ask for can be
reached is judged when the order of all the work is known (`drafting.order`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext
from .names import Entity
from .plan import ALL_BONES, Anchor, OwnStep, PiecePlan

Place = tuple[str, str]
Said = tuple[tree.Step, str]  # a step, and the piece that says it: none for the style itself


def own_steps(program: ProgramContext, plans: Iterable[PiecePlan]) -> tuple[OwnStep, ...]:
    """The steps in the order of the text, those of the style itself last."""
    known = {plan.name: _names_of(program, plan) for plan in plans if plan.issued}
    said: list[Said] = []
    for node, scope, _ in program.late:
        if isinstance(node, tree.Step):
            piece = "" if scope.drawing is None else scope.drawing.name
            if not piece or piece in known:
                said.append((node, piece))
    said.sort(key=lambda step: not step[1])
    return _Steps(program, known, said).read()


def _names_of(program: ProgramContext, plan: PiecePlan) -> dict[str, None]:
    """The edges, darts and named bones of a piece."""
    drawing = program.construction_named(plan.name)
    darts = () if drawing is None else drawing.dart_names()
    bones = [mark.name for mark in plan.marks if mark.kind == "bone" and " " not in mark.name]
    bones += [ALL_BONES] if any(mark.kind == "bone" for mark in plan.marks) else []
    return dict.fromkeys(map(str, (*(name for name, _ in plan.edges), *darts, *(row[0] for row in plan.inner), *bones)))


class _Steps:
    def __init__(self, program: ProgramContext, known: Mapping[str, Mapping[str, None]], said: Sequence[Said]) -> None:
        self.program, self.known, self.said = program, known, said
        self.named: dict[str, Entity[None]] = {}
        for node, piece in said:
            if node.name is not None:
                self._enter(Entity(node.name, "step", node.head, None), piece)

    def _enter(self, step: Entity[None], piece: str) -> None:
        name = _named(step.name, piece)
        first = self.named.setdefault(name, step)
        if first is step:
            self.program.lowering.note(step, piece)
        elif first.span != step.span:
            self.program.lowering.error(
                "N202",
                f'The step "{name}" is given twice',
                step.span,
                "each name once",
                f'a second step "{name}"',
                "Give one of the two another name.",
                ((first.span, "first given here"),),
            )

    def read(self) -> tuple[OwnStep, ...]:
        steps = [self._step(node, piece) for node, piece in self.said]
        self._circles(steps)
        return tuple(steps)

    def _step(self, node: tree.Step, piece: str) -> OwnStep:
        work = node.work
        return OwnStep(
            "" if node.name is None else _named(node.name, piece),
            piece,
            str(node.text)[1:-1],
            self._places(work.places if work is not None else (), piece),
            self._places(work.onto.places if work is not None and work.onto is not None else (), piece),
            self._anchors(node.after.places if node.after is not None else (), piece),
            self._anchors(node.before.places if node.before is not None else (), piece),
            node.head,
        )

    def _places(self, refs: Iterable[tree.Ref], piece: str) -> tuple[Place, ...]:
        places: dict[Place, None] = {}
        for ref in refs:
            found = self._at(ref, piece)
            if not found:
                self._unknown(ref, piece, steps=False)
            places.update(dict.fromkeys(found))
        return tuple(places)

    def _anchors(self, refs: Iterable[tree.Ref], piece: str) -> tuple[Anchor, ...]:
        anchors = []
        for ref in refs:
            name = self._step_called(ref, piece)
            if name:
                self.program.lowering.use(self.named[name], ref.parts[-1].span)
                self._use_piece(ref)
            found = () if name else self._at(ref, piece)
            if name or found:
                anchors.append(Anchor(name, found, ref.span))
            else:
                self._unknown(ref, piece, steps=True)
        return tuple(anchors)

    def _step_called(self, ref: tree.Ref, piece: str) -> str:
        """The step that a reference names: of the piece itself before one of the style, but an edge of the piece goes before either."""
        if len(ref.parts) == 1 and piece and str(ref) in self.known[piece]:
            return ""
        names = [str(ref)] if len(ref.parts) == 2 or not piece else [f"{piece}.{ref}", str(ref)]
        return next((name for name in names if name in self.named), "")

    def _at(self, ref: tree.Ref, piece: str) -> tuple[Place, ...]:
        """The edges or darts that a reference names."""
        word = ref.parts[-1]
        owners = [str(ref.parts[0])] if len(ref.parts) == 2 else [piece] if piece else list(self.known)
        self._use_piece(ref)
        found = tuple((owner, str(word)) for owner in owners if str(word) in self.known.get(owner, ()))
        for owner, _ in found:
            drawing: DrawingContext | None = self.program.construction_named(owner)
            if drawing is not None:
                drawing.mention(word)
        return found

    def _use_piece(self, ref: tree.Ref) -> None:
        entity = self.program.pieces.find(ref.parts[0]) if len(ref.parts) == 2 else None
        if entity is not None:
            self.program.lowering.use(entity, ref.parts[0].span)

    def _unknown(self, ref: tree.Ref, piece: str, steps: bool) -> None:
        sort = "edge, dart or step" if steps else "edge or dart"
        owner = str(ref.parts[0]) if len(ref.parts) == 2 else piece
        if len(ref.parts) == 2 and owner not in self.known:
            self.program.lowering.unknown_name("piece that is cut", ref.parts[0], ref.parts[0].span, list(self.known))
            return
        names = self.known[owner] if owner else dict.fromkeys(name for names in self.known.values() for name in names)
        self.program.lowering.unknown_name(
            sort, ref.parts[-1], ref.span, [*names, *(name for name in self.named if steps and "." not in name)]
        )

    def _circles(self, steps: Sequence[OwnStep]) -> None:
        """Steps that come after themselves by what they say of each other."""
        waits: dict[str, list[str]] = {step.name: [] for step in steps if step.name}
        for step in steps:
            if step.name:
                waits[step.name] += [anchor.step for anchor in step.after if anchor.step]
            for anchor in step.before:
                if anchor.step and step.name:
                    waits[anchor.step].append(step.name)
        circle = _circle(waits)
        if circle:
            first, *others = (self.named[name] for name in circle)
            self.program.lowering.error(
                "N350",
                "Steps of making up wait for each other in a circle",
                first.span,
                "an order in which each can be done",
                " after ".join([*circle, circle[0]]),
                "Take one `after` or `before` of these steps out.",
                tuple((step.span, "waits too") for step in others),
            )


def _named(name: str, piece: str) -> str:
    return f"{piece}.{name}" if piece else str(name)


def _circle(waits: Mapping[str, Sequence[str]]) -> list[str]:
    """Names each of which waits for the next, the last for the first; none where all can be done."""
    done: set[str] = set()
    path: list[str] = []

    def visit(name: str) -> list[str]:
        if name in path:
            return path[path.index(name) :]
        if name in done:
            return []
        path.append(name)
        for before in waits[name]:
            circle = visit(before)
            if circle:
                return circle
        path.pop()
        done.add(name)
        return []

    return next((circle for name in waits if (circle := visit(name))), [])
