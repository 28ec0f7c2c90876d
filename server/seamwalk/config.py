"""Settings: one table, read from the environment."""

import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from pathlib import Path

from seamwalk.errors import ConfigError


@dataclass(frozen=True)
class Setting:
    """One setting: its environment variable is SEAMWALK_ and its name."""

    name: str
    default: str
    help: str

    @property
    def variable(self) -> str:
        """The environment variable."""
        return f"SEAMWALK_{self.name}"


SETTINGS = (
    Setting("DIR", "seamwalk-data", "Folder of the database file and the secret key."),
    Setting("DATABASE_URL", "", "SQLAlchemy URL; empty means SQLite in the folder."),
    Setting(
        "PUBLIC_URL", "http://localhost:8460", "Address that phones and labels use; https for real phones."
    ),
    Setting("TRUSTED_HOSTS", "", "Host names served, with commas; empty means any."),
    Setting("COMPANY", "", "Name of the company on its labels; empty leaves it out."),
    Setting("LIFT_KG", "", "What one person lifts by your rules, kg; empty: no number of people is told."),
    Setting("LABEL_PREFIX", "HQ", "The company's two characters at the start of its label codes."),
)


@dataclass(frozen=True)
class Settings:
    """The settings in force."""

    dir: Path
    database_url: str
    public_url: str
    secret_key: str
    trusted_hosts: tuple[str, ...] = ()
    company: str = ""
    label_prefix: str = "HQ"
    lift_kg: float | None = None

    @property
    def is_https(self) -> bool:
        """Whether phones come over https."""
        return self.public_url.startswith("https://")


def load_settings(env: Mapping[str, str] | None = None) -> Settings:
    """Read the settings, making the folder and its secret key when they are missing."""
    given = os.environ if env is None else env
    value = {setting.name: given.get(setting.variable) or setting.default for setting in SETTINGS}
    folder = Path(value["DIR"]).resolve()
    folder.mkdir(parents=True, exist_ok=True)
    hosts = tuple(host.strip() for host in value["TRUSTED_HOSTS"].split(",") if host.strip())
    return Settings(
        dir=folder,
        database_url=value["DATABASE_URL"] or f"sqlite:///{folder / 'seamwalk.db'}",
        public_url=value["PUBLIC_URL"].rstrip("/"),
        secret_key=_secret_key(folder / "secret.key"),
        trusted_hosts=hosts,
        company=value["COMPANY"],
        label_prefix=value["LABEL_PREFIX"],
        lift_kg=_kg(value["LIFT_KG"]),
    )


def settings_table() -> str:
    """The settings as a Markdown table."""
    rows = [f"| `{s.variable}` | {f'`{s.default}`' if s.default else ''} | {s.help} |" for s in SETTINGS]
    return "\n".join(["| variable | default | meaning |", "| --- | --- | --- |", *rows])


def _kg(text: str) -> float | None:
    """A mass as it is set; raise ConfigError for one that is none."""
    if not text.strip():
        return None
    try:
        kg = float(text)
    except ValueError:
        kg = 0.0
    if not 0 < kg < inf:
        raise ConfigError(f"SEAMWALK_LIFT_KG: {text!r} is no mass", "Write kilograms, as in 25, or nothing.")
    return kg


def _secret_key(path: Path) -> str:
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(secrets.token_urlsafe(32))
    return path.read_text()
