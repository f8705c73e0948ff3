"""The usual cautions of a workroom, and which of them a garment asks for.  No figure is given as safe: what a body bears is not a
matter of patterns, and local rules and licensed trades go before this sheet."""

from __future__ import annotations

from ...drafting.tasks import TaskKind
from ..house.work import Work

ALWAYS = (
    "Iron and steam burn: try cloth and heat on a scrap, keep hands out of the steam, switch off what you leave.",
    "Blades: cut away from the hand, close shears and rotary cutters when you lay them down.",
    "Needles and pins: count the pins, sew over none; a needle that strikes a pin, a zip's teeth or a bone breaks: shield the eyes.",
)
WITH_BONES = (
    "Bones: the ends of cut steel fly and are sharp. Shield the eyes, cap or round both ends, keep them clear of every seam.",
    "What is worn tight must leave breath and food their way. Who has doubts about a body asks a physician, not a pattern.",
)
LAST = (
    "For a child: what the law where it is worn says of cords, small parts and cloth that burns goes before this sheet.",
    "So do the makers' words on machines, adhesives and dyes, and what is left to licensed trades where you work.",
)


def cautions(work: Work) -> list[str]:
    """The cautions of this garment, in the house's language."""
    kinds = {task.kind for step in work.ledgers.order.steps for task in step.tasks}
    wanted = (*ALWAYS, *(WITH_BONES if TaskKind.BONES in kinds else ()), *LAST)
    return [work.house.say(words) for words in wanted]
