"""Every page of the office, on its blueprint."""

from seamwalk.web.office import context  # noqa: F401
from seamwalk.web.office.access import account, login  # noqa: F401
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.findings import signoffs  # noqa: F401
from seamwalk.web.office.sheet import pages  # noqa: F401
from seamwalk.web.office.show import anomalies, contacts, devices, log, procedures, shows  # noqa: F401
from seamwalk.web.office.stock import bench, case_tracking, claims, item_types, labels, prep, stock, things  # noqa: F401
from seamwalk.web.office.wall import blank, planning, walls  # noqa: F401

__all__ = ["office"]
