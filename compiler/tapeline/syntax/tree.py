"""The syntax tree: one small class for each form of the grammar, each with the span it was read from.

The parser builds these directly, one per reduced rule: the rule or alias `point_along` makes a `PointAlong`, its
fields filled in the order of the rule's named children, `None` where an optional one is missing.  Field values are
nodes, tuples of nodes, or tokens (strings that know their place).  Nothing here means anything yet: names are not
resolved, kinds are not checked, and a tree cannot be drafted; `meaning` turns it into a plan.
"""

from __future__ import annotations

from ..source.text import Span


class Node:
    """A form of the language: `span`, then the fields named in `__slots__`.  Treated as immutable."""

    __slots__ = ("span",)

    def __init__(self, span: Span, *values):
        self.span = span
        fields = self.__slots__
        if len(values) != len(fields):
            raise TypeError(f"{type(self).__name__} takes {fields}, was given {len(values)} values")
        for field, value in zip(fields, values, strict=True):
            setattr(self, field, value)

    def __repr__(self) -> str:
        inside = ", ".join(f"{field}={getattr(self, field)!r}" for field in self.__slots__)
        return f"{type(self).__name__}({inside})"

    def same(self, other) -> bool:
        """Equal in everything but place."""
        return type(self) is type(other) and all(_same(getattr(self, field), getattr(other, field)) for field in self.__slots__)


def _same(one, other) -> bool:
    if isinstance(one, Node):
        return one.same(other)
    if isinstance(one, tuple):
        return isinstance(other, tuple) and len(one) == len(other) and all(map(_same, one, other))
    return one == other


class Word(str):
    """A name, number, quantity or text of the source, with its place; `kind` is the terminal it was read as."""

    __slots__ = ("span", "type")

    def __new__(cls, text: str, span: Span, type: str):
        word = super().__new__(cls, text)
        word.span = span
        word.type = type
        return word


class Ref(Node):
    """A name of a piece, edge, dart or point: `waist`, `front.waist`, `12` or `back.6A`."""

    __slots__ = ("parts",)

    def __init__(self, span: Span, *parts: Word):
        super().__init__(span, parts)

    def __str__(self) -> str:
        return ".".join(self.parts)


def _forms(table: str) -> dict[str, type[Node]]:
    """Node classes from lines of `rule_name: field field ...`, keyed by rule name."""
    forms: dict[str, type[Node]] = {"ref": Ref}
    for line in table.strip().splitlines():
        rule, _, fields = line.partition(":")
        name = "".join(part.capitalize() for part in rule.strip().split("_"))
        forms[rule.strip()] = type(name, (Node,), {"__slots__": tuple(fields.split()), "__module__": __name__})
    return forms


FORMS = _forms("""
start: language heading statements
language: version
style: name title version prose
library: name title version prose
version: number
prose: lines
text_line: text
block: statements
start_from: name
change_piece: name title recipe block
change_draft: name block
change_block: name block
change: block
without_named: name
without_piece: name
without_check: name
without_sew: one other
without_require: text
without_caution: text
without_taken: edge
without_dip: direction edge end
without_level: name
without_bones:
without_bone: edge
without_tape: edge
without_zip: edge
without_notch: edge
without_mark: text
use: names
measure: names
measurement: name title facts
fact_kind: kind
fact_standard: text
fact_taken: text
fact_plausible: low high
doubt: name relation other message
choose: name default range text
range: low high
definition: name value text
divide: whole parts
part: name value
part_rest: name
find: name low high value target
levels: rows
level_first: name girth
level_from: name distance direction base girth
level_halfway: name one other girth
girth_name: name
rule: name parameters value
rule_steps: name parameters statements value
gives: value
parameter: name kind
recipe: name title parameters block
draft: name block
piece: name title recipe holding block
foundation: name title recipe holding block
from_recipe: name arguments
from_piece: name
holding: what
named_argument: name value
sew: one other how
easing: amount
gathered:
allow: rows
edge_allowance: edge width kind
no_allowance: edge
other_allowances: width kind
others_none:
corner: one other kind
require: condition message
caution: condition message
cloth: width purpose nap
nap:
buttons: count size text
message: text
check: name parameters block
apply_check: name arguments
example: source rows
given_row: given
given: name value
expect_value: value target within note
expect_point: point across down within note
within: tolerance
when: condition block otherwise
otherwise: block
cut: count fold purpose extras
purpose: words
on_fold: edge
alike:
extra: count purpose
widths: origin counted rows
width: level value
width_than: level value relation base
width_as: level base
taken_in: edge rows
taken: level value
run_edge: edge runs
run_straight: start end
run_smooth: start end
run_bowed: bow amount start end
run_plumb: level
dip: direction edge amount end shape
dip_bow: bow amount
dip_straight:
dart: edge place called rows
place_at: at
place_from: distance end
place_point: point
place_legs: near far
called: name
dart_inside: place called rows
inner_intake: amount
inner_plumb: word above below
inner_points: word one other
darts: count edge evenly called rows
evenly: start end
intake: amount share held
share: word
held: level
point_level: word distance direction level stepping
point_long: word length aim stepping
point_given: word point
press: end
keep_clear: distance direction level
aim_plumb:
aim_square:
aim_toward: point
at_the: end
stepping: at amount longer end
point: name base moves
base_start:
base_ref: point
base_halfway: one other
base_along: edge start by
base_square: point line
base_lines: one other
base_tape_line: tape line side
base_tapes: one other side
tape: radius centre
move_by: direction amount
move_toward: point amount
move_away: point amount
move_square: line direction amount
move_swung: centre amount turn
move_angle: angle amount
line_between: one other
line_edge: edge
line_level: point
line_plumb: point
division: names start end
line: name start stops
to: point
curve: name start end through rows
through: points
leaving: direction
arriving: direction
bow: bow amount direction at
bow_at: at
curve_long: length direction
dir_level:
dir_plumb:
dir_square: line
dir_along: line
dir_toward: point
dir_angle: angle
arc: name start end shape
arc_about: centre
arc_radius: radius direction
arc_bow: bow amount direction
edge: name parts
outline: edges
trace: draft
grain: direction
level_at: name point
bone: clear
bone_along: edge clear called
tape_along: edge text
clear: amount
zip: edge start end
zip_at: name
zip_from: distance direction level
notch: edge distance end
mark: title start end
cut_apart: piece start end way closing seam block
stop_named: name
stop_place: name place
cut_line: name
cut_through: darts
closing: darts
pivot: dart by edge place called pressed
pivot_into: dart by other
close: dart by edge place
shorten: dart amount
release: dart
true_edge: edge
by: amount
pressed: end
spread: edge amount share other where
hinged: edge
spread_also: edge amount share
in_cuts: count word
along_lines: lines
pleats: count edge other evenly depth tapered called pressed
tapered: depth edge
join: piece edge to
to_edge: edge
mirror:
unfold: edge
extend: edge amount stretch folded called
stretch: start end
folded_back:
face: depth edges called
choice: value condition otherwise
either: one other
both: one other
negated: value
comparison: one relation other within
binary: one sign other
negative: value
number: word
quantity: word
truth: word
name: word
member: owner word
bracketed: value
call: name values
values: values
one_name: word
one_quantity: word
length_of: ref
closed_length_of: ref
distance: start end
across_from: start end
down_from: start end
angle_at: corner start end
corner_of: one other
girth_at: level
width_at: ref level
area_of: piece
intake_of: ref
""")

globals().update({form.__name__: form for form in FORMS.values()})
