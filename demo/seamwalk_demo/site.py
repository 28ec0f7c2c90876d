"""Where the scenario plays: its clock, the server it talks to, and the phones of one show."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from flask import Flask

from seamwalk.store.access import phones
from seamwalk.web.services import EXTENSION, Services
from seamwalk_demo.crew import SimulatedPhone


@dataclass
class Clock:
    """Time as the scenario tells it."""

    at: datetime

    def __call__(self) -> datetime:
        return self.at

    def pass_(self, **span: float) -> datetime:
        """Let time go by."""
        self.at += timedelta(**span)
        return self.at


@dataclass
class Crew:
    """One show's phones, by name."""

    app: Flask
    clock: Clock
    book: str
    phones: dict[str, SimulatedPhone] = field(default_factory=dict)

    def bring(self, name: str, role: str) -> SimulatedPhone:
        """Invite a phone and let it join."""
        store = services_of(self.app).store
        with store.write() as session:
            token = phones.make_invite(session, self.book, role, 12, self.clock.at)
        phone = SimulatedPhone(self.app.test_client(), self.book)
        phone.join(token, name)
        phone.sync()
        self.phones[name] = phone
        return phone


def services_of(app: Flask) -> Services:
    services: Services = app.extensions[EXTENSION]
    return services
