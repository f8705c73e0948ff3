import pencil_skirt
import pytest

from tapeline.finishing.finish import finish
from tapeline.paper.house.work import Heading


@pytest.fixture(scope="session")
def finished():
    skirt, failures = finish(pencil_skirt.skirt())
    assert not failures
    return skirt


@pytest.fixture(scope="session")
def heading():
    prose = "High-waisted pencil skirt, boned front darts."
    return Heading("Corselet skirt", "1.0", prose, "Quay Row, client 12", "cm")
