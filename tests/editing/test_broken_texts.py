"""No text gives a fault: every question of an editor, at random places of shipped styles with slips in them.

`EXPLORE=1` and `MUTATED=100000` look further.
"""

import os
import random

from mutations import mutated
from tapeline.editing.completing import call_at, suggestions_at
from tapeline.editing.diagnosing import told_of
from tapeline.editing.hinting import hints_in
from tapeline.editing.hovering import hover_at
from tapeline.editing.mending import mended, mends_of
from tapeline.session import Session
from tapeline.source.text import Source
from tapeline.source.world import standard_folder

TEXTS = [path.read_text(encoding="utf-8") for path in sorted(standard_folder("styles").glob("*.style"))]
MUTATED = int(os.environ.get("MUTATED", "300"))


def test_every_question_at_random_places_of_mutated_styles():
    dice = random.Random(None if os.environ.get("EXPLORE") else 14)
    session = Session()
    for _ in range(MUTATED):
        source = Source("any.style", mutated(dice.choice(TEXTS), dice))
        reading = session.read(source)
        for _ in range(3):
            offset = dice.randrange(len(source.text) + 1)
            for one in suggestions_at(reading, source, offset):
                assert 0 <= one.start <= offset and one.label and one.text
            call_at(reading, source, offset)
            found = hover_at(reading, source, offset)
            assert found is None or (found.text and 0 <= found.span.start <= found.span.end <= len(source.text))
        for own in told_of(reading)[reading.source]:
            assert own.words
            for mend in mends_of(own.diagnostic):
                if mend.changes[0].span.source == source:
                    assert mended(source, mend) != source.text
        hints_in(source, {"waist": "72 cm"}, 0, len(source.text))
