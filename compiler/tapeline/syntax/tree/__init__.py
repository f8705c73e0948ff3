"""The forms of the language, by theme; each is a dataclass of the name of its rule in the grammar.

Nothing here means anything yet: names are not resolved, kinds are not checked, and a tree cannot be drafted; `meaning`
turns it into a plan.
"""

from ..forms import *  # noqa: F403  this package is the one name under which all forms are known
from .changes import *  # noqa: F403
from .darts import *  # noqa: F403
from .expressions import *  # noqa: F403
from .fitting import *  # noqa: F403
from .making import *  # noqa: F403
from .marking import *  # noqa: F403
from .pieces import *  # noqa: F403
from .points import *  # noqa: F403
from .starting import *  # noqa: F403
from .style import *  # noqa: F403
from .words import *  # noqa: F403
