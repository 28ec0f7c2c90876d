"""The demo: an invented show, lived through by simulated phones over the real API."""

from seamwalk_demo.show import ENVIRONMENT, make_show

__all__ = ["ENVIRONMENT", "make_show"]
