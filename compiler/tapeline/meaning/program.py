"""The whole style while it is lowered: its names at large, its pieces, and what is said about them.

A `Program` is made anew for each course of the style's forks.  Libraries are entered first, each into a space of its
own, so that a library sees only itself and what it uses; the style sees its own names and those it uses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, ClassVar, TypeAlias

from ..bodies.measurement import Doubt, Measurement
from ..source.diagnostics import has_errors
from ..source.suggest import nearest
from ..source.text import Source, Span
from ..syntax import tree
from . import choosing, dividing, level_lines, measurements, notions, piece_plans, pieces, starting
from .across import check_truings, corners_meant
from .allowing import allowances_of
from .construction import Construction
from .contexts import DrawingContext, Late, ScopeContext
from .cut_counts import cut_of
from .examples import example
from .expressions import lower, lower_kind, lower_length
from .finds import Find, arrange
from .fitted_seams import fitted_seams, layers_of
from .fitting import FITTINGS, Said, check_fittings, fittings_of
from .functions import FUNCTIONS
from .kinds import ANGLE, BY_WORD, CONDITION, LENGTH, UNKNOWN, Kind, article, is_quantity
from .library import Linked, Module
from .lowering import Lowering, Outcomes
from .names import Entity, Names
from .own_steps import own_steps
from .plan import Choice, Plan, Requirement, Step, Value, needed_steps
from .recipes import RecipeText, RuleText, text_of
from .requirements import requirements
from .scopes import Scope
from .seams import seams_of
from .statement_keys import without

LevelRow: TypeAlias = tree.LevelFirst | tree.LevelFrom | tree.LevelHalfway


class Program:
    def __init__(self, linked: Linked, outcomes: Outcomes) -> None:
        self.lowering = Lowering(outcomes, linked.skipped_names, linked.damaged)
        self.lowering.incomplete = linked.incomplete
        self.linked = linked
        self.measurements: dict[str, Measurement] = {}
        self.doubts: list[Doubt] = []
        self.levels: Names[Value] = Names()
        self.pieces: Names[Construction | None] = Names()  # None for one that rests on itself
        self.sheets: Names[Construction | None] = Names()
        self.level_girths: dict[str, tree.Word | None] = {}  # level -> the measurement that is its girth, where it names one
        self.unmarked: set[str] = set()  # levels that are only for construction
        self.origin: str | None = None  # the level that the others are counted from
        self.measures: dict[str, Value] = {}
        self.choices: dict[str, Choice] = {}
        self.finds: list[tuple[tree.Find, Scope, Value]] = []
        self.requirements: list[Requirement] = []
        self.late: list[Late] = []
        self.examples: list[tuple[tree.Example, Scope]] = []
        self._girths: dict[tuple[str, bool], Value] = {}
        self.fittings: list[Said] = []  # of finished pieces, in the order of the text
        self._fitted: dict[str, Construction] = {}
        self.cuts: list[tuple[tree.CutApart, Sequence[Entity[Any]]]] = []
        self.foundations: set[str] = set()
        self.drawn: list[DrawingContext] = []  # every piece and sheet that was begun
        self.spaces: dict[int, Scope] = {}
        self.scope = Scope(self, Names(), Names())  # of the style itself, which is entered last

    def enter(self) -> None:
        """Enter the names of the libraries, then those of the style."""
        for module in self.linked.libraries:
            self._enter(module, Scope(self, Names(), Names()))
        self._enter(self.linked.style, self.scope)

    def _enter(self, module: Module, scope: Scope) -> None:
        self.spaces[id(module)] = scope
        for used in module.uses:
            used_scope = self.spaces.get(id(used))
            if used_scope is not None:
                scope.quantities.own.update(used_scope.quantities.own)
                scope.rules.own.update(used_scope.rules.own)
        self.quantities, self.rules = scope.quantities, scope.rules
        self.gather(module.statements, scope)

    # ------------------------------------------------------------ gathering

    def gather(self, statements: Iterable[tree.Statement] | None, scope: Scope) -> None:
        """Enter every statement under its name: definitions of measurements first, for the measures that need them; the
        `when` rules last, when their conditions can be found."""
        statements = tuple(statements or ())
        in_libraries = tree.forms_within(tree.Where.LIBRARY)
        for statement in sorted(statements, key=lambda statement: not isinstance(statement, tree.Measurement)):
            handler = self._GATHER.get(type(statement))
            if isinstance(statement, tree.When):
                continue
            if handler is None:
                self.misplaced(statement, "the style itself")
            elif scope is not self.scope and type(statement) not in in_libraries:
                self.lowering.error(
                    "N208",
                    "This is said of a style, not of a library",
                    statement.head,
                    "measurements, quantities, rules, recipes and checks in a library",
                    f'"{statement.head.text.split()[0]}"',
                    "Move it into the styles that use the library.",
                )
            else:
                handler(self, statement, scope)
        for statement in statements:
            if isinstance(statement, tree.When):
                value = lower_kind(scope, statement.condition, CONDITION)
                holds = bool(self.lowering.course("when", value, statement.condition.span))
                self.lowering.leave_out(statement, not holds)
                self.gather(statement.under(holds), scope)

    def misplaced(self, statement: tree.Statement, place: str) -> None:
        if isinstance(statement, starting.OUT_OF_PLACE) or without(statement):
            self.lowering.diagnostics.append(starting.out_of_place(statement))
            return
        if isinstance(statement, tree.Fitting):
            self.lowering.error(
                "N208",
                "A fitting stands in a text of its own",
                statement.head,
                "fittings in the text of a client, which begins with: fittings NAME",
                '"fitting"',
                "Move it into the fittings beside her card, NAME.fittings.",
            )
            return
        word = statement.head.text.split()[0] if statement.head.text.split() else "this"
        self.lowering.error(
            "N208",
            f'"{word}" does not belong in {place}',
            statement.head,
            "a statement of a piece" if place == "a piece" else f"a statement of {place}",
            f'"{word}"',
            "Move it into a piece."
            if place == "the style itself"
            else "Take its indentation away to make it a rule of the whole style.",
        )

    def _measure(self, node: tree.Measure, scope: Scope) -> None:
        for name in node.names:
            if name not in self.measurements:
                self.lowering.unknown_name(
                    "measurement",
                    name,
                    name.span,
                    self.measurements,
                    f'Define it: measurement {name} "...", with kind, taken and plausible.',
                )
                self.lowering.skipped_names |= {str(name), *nearest(name, self.measurements)}
                continue
            known = scope.quantities.own.get(name)
            if known is not None and known.sort == "measure" and known.span.source != name.span.source:
                continue  # a library that is used needs it as well
            kind = BY_WORD["angle"] if self.measurements[name].kind == "angle" else LENGTH
            measured = partial(self._measured, str(name), kind, name.span)
            self.lowering.define(scope.quantities, Entity(name, "measure", name.span, measured))

    def _measured(self, name: str, kind: Kind, span: Span) -> Value:
        if name not in self.measures:
            self.measures[name] = self.lowering.emit("measure", kind, span, name=name, of=kind.word)
        return self.measures[name]

    def define_quantity(self, scope: ScopeContext, node: tree.Definition, names: Names[Value] | None = None) -> None:
        self.lowering.define(names or scope.quantities, Entity(node.name, "quantity", node.head, lambda: lower(scope, node.value)))

    def define_parts(self, scope: ScopeContext, node: tree.Divide, names: Names[Value] | None = None) -> None:
        dividing.define_parts(self, scope, node, names or scope.quantities)

    def _find(self, node: tree.Find, scope: Scope) -> None:
        self.lowering.define(scope.quantities, Entity(node.name, "quantity", node.head, lambda: self._sought(node, scope)))

    def _sought(self, node: tree.Find, scope: Scope) -> Value:
        low, high = lower(scope, node.low), lower(scope, node.high)
        if low.kind != high.kind and UNKNOWN not in (low.kind, high.kind):
            return self.lowering.wrong_kind(high, article(low.kind), node.high.span)
        if not (is_quantity(low.kind) or low.kind in (ANGLE, UNKNOWN)):
            return self.lowering.wrong_kind(low, "a number, length or angle", node.low.span)
        value = self.lowering.emit("find", low.kind, node.head, low, high)
        if value.kind is not UNKNOWN:
            self.lowering.geometric.add(value.slot)
            self.finds.append((node, scope, value))
        return value

    def _levels(self, node: tree.Levels, scope: Scope) -> None:
        for row in node.rows:
            assert isinstance(row, LevelRow)
            self.lowering.define(self.levels, Entity(row.name, "level", row.span, partial(self._level, row, scope, node)))
            self.level_girths[str(row.name)] = row.girth.name if row.girth is not None else None
            if row.unmarked is not None:
                self.unmarked.add(str(row.name))

    def _level(self, row: LevelRow, scope: Scope, node: tree.Levels) -> Value:
        lowering = self.lowering
        if isinstance(row, tree.LevelFirst):
            if row is not node.rows[0] or self.origin not in (None, row.name):
                return lowering.error(
                    "N248",
                    f'Where does the level "{row.name}" lie?',
                    row.span,
                    "a distance from another level",
                    "only a name",
                    f"Write for example: {row.name}  20 cm below {self.origin or node.rows[0].name}",
                )
            self.origin = row.name
            return lowering.constant(0.0, LENGTH, row.span)
        if isinstance(row, tree.LevelHalfway):
            return lowering.emit("halfway", LENGTH, row.span, scope.level(row.one), scope.level(row.other))
        base, distance = scope.level(row.base), lower_length(scope, row.distance)
        return lowering.emit("add" if row.direction == "below" else "subtract", LENGTH, row.span, base, distance)

    def _rule(self, node: tree.Rule | tree.RuleSteps, scope: Scope) -> None:
        statements, gives = ((), node.value) if isinstance(node, tree.Rule) else (node.statements or (), node.value.value)
        for statement in statements:
            if not isinstance(statement, tree.Definition):
                self.misplaced(statement, "a rule")
        steps = tuple(statement for statement in statements if isinstance(statement, tree.Definition))
        if node.name in FUNCTIONS:
            self.lowering.error(
                "N202",
                f'"{node.name}" is a function of the language',
                node.name.span,
                "a name of its own",
                f'"{node.name}"',
                "Give the rule another name.",
            )
        self._each_once(node.parameters)
        text = RuleText(node.parameters or (), steps, gives, scope)
        self.lowering.define(scope.rules, Entity(node.name, "rule", node.head, lambda: text))

    def _each_once(self, parameters: Iterable[tree.Parameter] | None) -> None:
        """The parameters of a rule, recipe or check have different names."""
        names: Names[Value] = Names()
        for parameter in parameters or ():
            self.lowering.define(names, Entity(parameter.name, "parameter", parameter.span, None))

    def _recipe(self, node: tree.Recipe, scope: Scope) -> None:
        self._each_once(node.parameters)
        (statements,) = starting.amended_statements(self.lowering, node)
        text = RecipeText(node.parameters or (), statements, scope, text_of(node.title))
        self.lowering.define(scope.rules, Entity(node.name, "recipe", node.head, lambda: text))

    def _check(self, node: tree.Check, scope: Scope) -> None:
        self._each_once(node.parameters)
        text = RecipeText(node.parameters or (), node.body.statements or (), scope, "")
        self.lowering.define(scope.rules, Entity(node.name, "check", node.head, lambda: text))

    def _later(self, node: tree.Statement, scope: Scope) -> None:
        self.late.append(Late(node, scope))

    def _measurement(self, node: tree.Measurement, scope: Scope) -> None:
        definition = measurements.measurement(self.lowering, scope, node)
        if definition is None:
            return
        first = self.measurements.get(node.name)
        if first is not None:
            self.lowering.error(
                "N202",
                f'The measurement "{node.name}" is defined twice',
                node.head,
                "each measurement once",
                "a second definition",
                "Give yours another name.",
                ((first.span, "first defined here"),) if first.span is not None else (),
            )
            return
        self.measurements[str(node.name)] = definition

    def _doubt(self, node: tree.Doubt, scope: Scope) -> None:
        doubt = measurements.doubt(self, node)
        if doubt is not None:
            self.doubts.append(doubt)

    _GATHER: ClassVar[dict[type[tree.Node], Callable[[Program, Any, Scope], None]]] = {
        tree.Use: lambda self, node, scope: None,
        tree.Measure: _measure,
        tree.Measurement: _measurement,
        tree.Doubt: _doubt,
        tree.Choose: lambda self, node, scope: choosing.define_choice(self, scope, node),
        tree.Definition: lambda self, node, scope: self.define_quantity(scope, node),
        tree.Divide: lambda self, node, scope: self.define_parts(scope, node),
        tree.Find: _find,
        tree.Levels: _levels,
        tree.Rule: _rule,
        tree.RuleSteps: _rule,
        tree.Recipe: _recipe,
        tree.Check: _check,
        tree.Piece: lambda self, node, scope: pieces.piece(self, node, scope),
        tree.Foundation: lambda self, node, scope: pieces.foundation(self, node, scope),
        tree.CutApart: lambda self, node, scope: pieces.cut_apart(self, node, scope),
        tree.Sheet: lambda self, node, scope: pieces.sheet(self, node, scope),
        tree.Sew: _later,
        tree.TrueAcross: _later,
        tree.CornerMeant: _later,
        tree.Step: _later,
        tree.Allow: _later,
        tree.Require: _later,
        tree.Caution: _later,
        tree.Cloth: _later,
        tree.Buttons: _later,
        tree.ApplyCheck: _later,
        tree.Example: lambda self, node, scope: self.examples.append((node, scope)),
        **dict.fromkeys(FITTINGS, lambda self, node, scope: self.fittings.append(Said(node, scope))),
    }

    @property
    def own_source(self) -> Source:
        return self.linked.style.parsed.source

    # ------------------------------------------------------------ pieces and girths, asked for by scopes

    def construction_of(self, entity: Entity[Construction | None]) -> Construction:
        return self.lowering.demand(entity, None) or Construction(self, entity.name, entity.name, entity.span, True)

    def fitted(self, drawing: Construction) -> Construction:
        """A piece as it was fitted; itself, where nothing is said of it."""
        if not self.fittings or drawing.is_sheet:
            return drawing
        if drawing.name not in self._fitted:
            said = fittings_of(self.fittings, drawing.name)
            self._fitted[drawing.name] = pieces.fitted(self, drawing, said) if said else drawing
        return self._fitted[drawing.name]

    def construction(self, name: tree.Word, span: Span, fitted: bool = True) -> Construction | None:
        """The piece or sheet of that name, as it was fitted or as it was drafted; None, said, where there is none."""
        entity = self.pieces.find(name) or self.sheets.find(name)
        if entity is None:
            self.lowering.unknown_name("piece", name, span, [*self.pieces.own, *self.sheets.own])
            return None
        self.lowering.use(entity, span)
        drawing = self.construction_of(entity)
        return self.fitted(drawing) if fitted else drawing

    def construction_named(self, name: str, fitted: bool = True) -> Construction | None:
        """The piece of that name, or none."""
        entity = self.pieces.find(name)
        if entity is None:
            return None
        drawing = self.construction_of(entity)
        return self.fitted(drawing) if fitted else drawing

    def constructions(self, fitted: bool = True) -> list[Construction]:
        drafted = [self.construction_of(entity) for entity in self.pieces.own.values()]
        return [self.fitted(drawing) for drawing in drafted] if fitted else drafted

    def issued(self, fitted: bool = True) -> list[Construction]:
        """The pieces that are cut: all but the foundations."""
        return [piece for piece in self.constructions(fitted) if piece.name not in self.foundations]

    def is_level(self, name: str) -> bool:
        """Whether the style has a level of that name."""
        return self.levels.find(name) is not None

    def mention_level(self, *words: tree.Word) -> None:
        """Note that words name levels, where they do."""
        for word in words:
            self._mention(self.levels, word)

    def _mention(self, names: Names[Any], word: tree.Word) -> None:
        entity = names.find(word)
        if entity is not None:
            self.lowering.use(entity, word.span)

    def _mention_changed(self) -> None:
        """Note what the style changes of the one that it starts from."""
        for node in self.linked.style.parsed.tree.statements or ():
            if isinstance(node, tree.ChangePiece):
                self._mention(self.pieces, node.name)
            elif isinstance(node, tree.ChangeSheet):
                self._mention(self.sheets, node.name)
            elif isinstance(node, tree.ChangeRecipe):
                self._mention(self.scope.rules, node.name)

    def girth(self, level: tree.Word, span: Span, fitted: bool = True) -> Value:
        """What is left at a level all round, every piece counted as often as it is cut, darts sewn."""
        if self.levels.find(level) is None:
            return self.scope.level(level, span)
        self.mention_level(level)
        key = str(level), fitted
        if key not in self._girths:
            widths, factors = [], []
            across = self._across_seams(str(level), fitted)
            for piece in self.issued(fitted):
                width = None if piece.name in across else piece.width_at(str(level))
                if width is not None and not cut_of(self, piece).purpose:
                    widths.append(width)
                    factors.append(float(cut_of(self, piece).instances))
            if not widths:
                return self.lowering.error(
                    "N204",
                    f'No piece has a width at the level "{level}"',
                    span,
                    "a piece that crosses it",
                    "none",
                    f"Give a piece a width at {level}, or say: level {level} at some point.",
                )
            self._girths[key] = self.lowering.emit("weighted_sum", LENGTH, span, *widths, factors=tuple(factors))
        return self._girths[key]

    def _across_seams(self, level: str, fitted: bool = True) -> frozenset[str]:
        """Pieces whose line of a level is that of others, to which it is sewn."""
        pieces = {piece.name: piece for piece in self.issued(fitted) if not cut_of(self, piece).purpose}
        seams = [node for node, _, _ in self.late if isinstance(node, tree.Sew)]
        return level_lines.on_other_side(pieces, seams, level)

    def let_go(self) -> None:
        """Part what holds each other, so that all of it goes at once: names hold their scopes, scopes the names, pieces both."""
        for entity, _ in self.lowering.defined:
            entity.build = None
            if not isinstance(entity.value, Value):
                entity.value = None
        for holder in (*self.drawn, self.lowering, self):
            vars(holder).clear()

    # ------------------------------------------------------------ the plan

    def plan(self) -> Plan:
        for entity in list(self.scope.quantities.own.values()):
            self.lowering.demand(entity)
        for entity in self.levels.own.values():
            self.lowering.demand(entity)
        for sheet in self.sheets.own.values():
            piece_plans.exercise(self, self.construction_of(sheet))
        for drafted in self.constructions(fitted=False):
            if self.fitted(drafted) is not drafted:
                piece_plans.hold_drafted(self, drafted)
        plans = [piece_plans.piece_plan(self, drawing) for drawing in self.constructions()]
        check_fittings(self, self.fittings)
        seams = fitted_seams(self, seams_of(self))
        layers = layers_of(self)
        check_truings(self)
        allowances, corners = allowances_of(self)
        requirements(self)
        cloths, buttons = notions.stated(self)
        steps = own_steps(self, [plan for plan in plans if plan is not None])
        self._mention_changed()
        level_girths = self._level_girths()
        examples = tuple(example(self, node, scope) for node, scope in self.examples)
        if self.foundations and not self.issued() and not has_errors(self.lowering.diagnostics):
            self._nothing_is_cut()
        return replace(
            self.plan_so_far(),
            steps=tuple(self._arranged()),
            slots=self.lowering.slots,
            pieces=tuple(plan for plan in plans if plan is not None),
            seams=tuple(seams),
            allowances=allowances,
            corners=corners,
            requirements=tuple(self.requirements),
            examples=examples,
            level_girths=level_girths,
            cloths=cloths,
            buttons=buttons,
            own_steps=steps,
            layers=layers,
            once={str(level): pieces for level in self.levels.own if (pieces := self._across_seams(str(level)))},
            meant=corners_meant(self, seams),
            unmarked=frozenset(self.unmarked),
            names=self.lowering.names(),
            constants={value.slot: kind for (_, kind), value in self.lowering.constants.items()},
        )

    def _nothing_is_cut(self) -> None:
        self.lowering.caution(
            "N295",
            "Nothing of this style is cut",
            self.linked.style.heading.head,
            "a piece",
            f"foundations alone: {', '.join(sorted(self.foundations))}",
            "Make a piece from a foundation, piece NAME from FOUNDATION; or look at them with draft --foundations.",
        )

    def plan_so_far(self) -> Plan:
        """The heading, and the names and steps that were lowered till now, without the pieces and what is said of them."""
        heading = self.linked.style.heading
        return Plan(
            name=str(heading.name),
            title=text_of(heading.title),
            version=str(heading.version.number) if heading.version is not None else "",
            prose=" ".join(text_of(line.text) for line in heading.prose.lines) if heading.prose is not None else "",
            steps=tuple(self.lowering.steps),
            slots=self.lowering.slots,
            measures={name: value.slot for name, value in self.measures.items()},
            choices=self.choices,
            values={
                name: entity.value
                for name, entity in self.scope.quantities.own.items()
                if isinstance(entity.value, Value) and entity.value.kind is not UNKNOWN
            },
            forks=tuple(self.lowering.forks),
            pieces=(),
            seams=(),
            allowances={},
            corners={},
            requirements=(),
            examples=(),
            level_order=tuple(self.levels.own),
            level_girths={},
        )

    def _level_girths(self) -> dict[str, int]:
        slots: dict[str, int] = {}
        for level, measure in self.level_girths.items():
            name = str(measure) if measure is not None else level
            if measure is not None:
                self._mention(self.scope.quantities, measure)
            if measure is not None and name not in self.measurements:
                self.lowering.unknown_name("measurement", measure, measure.span, self.measurements)
            elif name in self.measures and self.measurements[name].kind == "girth":
                slots[level] = self.measures[name].slot
            elif measure is not None:
                self.lowering.error(
                    "N204",
                    f'"{measure}" is not among the measures of the style',
                    measure.span,
                    "a girth named by measure",
                    f'"{measure}"',
                    f"Add: measure {measure}",
                )
        return slots

    def _arranged(self) -> list[Step]:
        lowering, finds = self.lowering, []
        for node, scope, sought in self.finds:
            value, target = lower(scope, node.value), lower(scope, node.target)
            if UNKNOWN in (value.kind, target.kind):
                continue
            if value.kind != target.kind:
                lowering.error(
                    "K302",
                    "The two sides of a find must be of one kind",
                    node.head,
                    article(value.kind),
                    f"{article(value.kind)} is {article(target.kind)}",
                    "Give both the same unit.",
                )
                continue
            if not (is_quantity(value.kind) or value.kind is ANGLE):
                lowering.wrong_kind(value, "a number, length or angle", node.value.span)
                continue
            behind = {step.out for step in needed_steps(lowering.steps, (value.slot, target.slot))}
            if sought.slot not in behind:
                lowering.error(
                    "N235",
                    f'Nothing here depends on "{node.name}"',
                    node.head,
                    f"a quantity that {node.name} changes",
                    " ".join(node.value.span.text.split()),
                    f"Use {node.name} in the rules of what is measured.",
                )
                continue
            finds.append(Find(str(node.name), sought.slot, value.slot, target.slot, (sought.kind.word, value.kind.word), node.head))
        return arrange(lowering.steps, finds)
