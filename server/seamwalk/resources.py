"""Files that belong to the package: beside it in a wheel, at the checkout's top otherwise."""

from pathlib import Path

from seamwalk.errors import NotFound

_BESIDE = Path(__file__).parent
_CHECKOUT = _BESIDE.parent.parent


def find(name: str) -> Path:
    """The path of `templates`, `static/dist` or `demo`; raise NotFound."""
    for root in (_BESIDE, _CHECKOUT):
        if (root / name).exists():
            return root / name
    raise NotFound(f"{name} is not where seamwalk looks for it", "Install seamwalk again: pip builds it.")
