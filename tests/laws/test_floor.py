"""The skirts of the bench, drafted by the program from their text and by hand in plain arrays: the same points and figures.

Two ways to one result that share no code; the bench itself holds many more bodies against each other before it times them.
"""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

import bench_many  # noqa: E402
import floor_skirt  # noqa: E402


@pytest.mark.parametrize(
    "path, found, bound", [(bench_many.STYLE, False, bench_many.POINTS), (bench_many.FINDING, True, bench_many.FOUND)]
)
def test_the_program_drafts_what_the_hand_drafts(path, found, bound):
    measures = bench_many.bodies(400, seed=7)
    off, apart, failed = bench_many.agree(
        bench_many.opened(path), lambda **given: floor_skirt.drafted(**given, found=found), measures, bound, bound
    )
    assert 0.0 < off <= bound and apart <= bound and 0 < failed < 400


def test_a_body_s_skirt_does_not_rest_on_its_company():
    style, measures = bench_many.opened(bench_many.STYLE), bench_many.bodies(40, seed=8)
    (together,) = bench_many.drafted_whole(style, measures)
    for place in (0, 17, 39):
        (alone,) = bench_many.drafted_whole(style, bench_many.part_of(measures, place, place + 1))
        for one, other in zip(together.finished.pieces, alone.finished.pieces, strict=True):
            assert np.array_equal(one.cut_line[place], other.cut_line[0])
