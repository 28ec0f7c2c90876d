"""How fast somebody may guess. It locks nobody out, and tells nothing about which logins exist.

The rule. A try is charged to budgets before it is judged, and taken off again when it was right. A budget has
some tries free; each one beyond makes the next wait, twice as long each time, up to a longest wait. A day
without a try and it is forgotten. There is no lock.

- A password is charged to (login, browser) where the browser shows that it logged in to this login before: a
  signed cookie. Strangers do not have it, so they cannot use that budget up, wherever they sit.
- Otherwise it is charged to (login, address) and to (address). An IPv6 address counts by its /64. The budget
  of an address alone is wide and its wait short: a crew behind one NAT types wrong passwords too.
- A one-time code is charged to (login, browser) likewise, and otherwise to (login): only somebody with the
  right password gets that far.
- A login that there is not is charged like one that there is.

So a stranger at the rightful person's own address can make a new browser there wait, at most `longest_s` at a
time; a browser that was there before, or another network, goes on. Whoever has many addresses has many
budgets: against that stand the rules of passwords and one-time codes. All is kept in the memory of the one
process that serves, and begins anew with it.
"""

import ipaddress
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from seamwalk.errors import LimitReached

FORGOTTEN_AFTER = timedelta(days=1)
MAX_KEPT = 50_000
_IPV6_NETWORK = 64


@dataclass(frozen=True)
class Budget:
    """What a try is charged to: `free` tries, then waits of 2, 4, 8, ... seconds up to `longest_s`."""

    key: tuple[str, ...]
    free: int
    longest_s: int


@dataclass
class _Spent:
    tries: int
    next_at: datetime
    last_at: datetime


def password_budgets(login: str, browser: str | None, address: str | None) -> list[Budget]:
    """What a password for a login is charged to; `browser` is the known one that it comes from."""
    if browser is not None:
        return [Budget(("password", login, browser), free=5, longest_s=300)]
    network = network_of(address)
    return [
        Budget(("password", login, "from", network), free=5, longest_s=900),
        Budget(("address", network), free=50, longest_s=30),
    ]


def code_budgets(login: str, browser: str | None) -> list[Budget]:
    """What a one-time code for a login is charged to."""
    return [Budget(("code", login, browser or ""), free=5, longest_s=900)]


def network_of(address: str | None) -> str:
    """What counts as one source: an IPv4 address, an IPv6 /64."""
    try:
        found = ipaddress.ip_address((address or "").partition("%")[0])
    except ValueError:
        return "unknown"
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        return str(ipaddress.ip_network((found, _IPV6_NETWORK), strict=False))
    return str(found)


class Throttle:
    """The budgets of one process."""

    def __init__(self) -> None:
        self._spent: dict[tuple[str, ...], _Spent] = {}
        self._lock = threading.Lock()

    def charge(self, budgets: Sequence[Budget], now: datetime) -> None:
        """Charge a try to all budgets, or to none and raise LimitReached when one of them has to wait."""
        with self._lock:
            wait = max(self._wait_s(budget, now) for budget in budgets)
            if wait > 0:
                raise LimitReached("login: too many wrong tries from here", f"Wait {_in_words(wait)}.", wait)
            for budget in budgets:
                self._charge(budget, now)
            self._keep_small(now)

    def give_back(self, budgets: Sequence[Budget]) -> None:
        """Take a right try off again: the first budget is reset, the others lose one try."""
        with self._lock:
            self._spent.pop(budgets[0].key, None)
            for budget in budgets[1:]:
                if budget.key in self._spent:
                    self._spent[budget.key].tries -= 1

    def _wait_s(self, budget: Budget, now: datetime) -> int:
        spent = self._spent.get(budget.key)
        if spent is None or now - spent.last_at > FORGOTTEN_AFTER:
            self._spent.pop(budget.key, None)
            return 0
        return ceil((spent.next_at - now).total_seconds())

    def _charge(self, budget: Budget, now: datetime) -> None:
        before = self._spent.pop(budget.key, None)
        tries = 1 + (before.tries if before else 0)
        over = tries - budget.free
        wait_s = min(2 ** min(over + 1, 20), budget.longest_s) if over >= 0 else 0
        self._spent[budget.key] = _Spent(tries, now + timedelta(seconds=wait_s), now)

    def _keep_small(self, now: datetime) -> None:
        """Forget what is old, and beyond `MAX_KEPT` what was charged longest ago."""
        while self._spent:
            key, oldest = next(iter(self._spent.items()))
            if len(self._spent) <= MAX_KEPT and now - oldest.last_at <= FORGOTTEN_AFTER:
                return
            del self._spent[key]


def _in_words(seconds: int) -> str:
    if seconds == 1:
        return "a second"
    return f"{seconds} seconds" if seconds < 120 else f"{ceil(seconds / 60)} minutes"
