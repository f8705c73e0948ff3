"""The tests of one style follow each other, since they look at the same drafts (`tried.py`); so most of them run on one worker."""

from pathlib import Path

from tried import STYLES

HERE = Path(__file__).parent


def pytest_collection_modifyitems(items):
    places = [k for k, item in enumerate(items) if item.path.parent == HERE and style_tested(item)]
    for k, item in zip(places, sorted((items[k] for k in places), key=style_tested), strict=True):
        items[k] = item


def style_tested(item) -> str:
    """The style that a test is about; nothing where it is about no single one."""
    given = getattr(item, "callspec", None)
    values = [given.params.get(name) for name in ("name", "path")] if given is not None else []
    names = [value.stem if isinstance(value, Path) else value for value in values]
    return next((name for name in names if name in STYLES), "")
