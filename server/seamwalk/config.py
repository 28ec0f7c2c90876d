"""Settings: one table, read from the environment."""

import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, tzinfo
from math import inf
from pathlib import Path
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from seamwalk import private_files
from seamwalk.errors import ConfigError

# how many requests are answered at once
THREADS = 8


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
    Setting("DIR", "seamwalk-data", "Folder of the database file, the wrapping key and the secret key."),
    Setting("DATABASE_URL", "", "SQLAlchemy URL; empty means SQLite in the folder."),
    Setting(
        "PUBLIC_URL",
        "http://localhost:8460",
        "Address that phones and labels use (of `serve --port`, if not set); https for real phones.",
    ),
    Setting(
        "TRUSTED_HOSTS", "", "More host names served, with commas; the public URL's and localhost always are."
    ),
    Setting(
        "KEY_FILE",
        "",
        "File of the wrapping key; empty: `wrapping.key` among systemd's credentials, else in the folder.",
    ),
    Setting("PROXIES", "0", "Reverse proxies before the server that say whose a call is (X-Forwarded-For)."),
    Setting("COMPANY", "", "Name of the company on its labels; empty leaves it out."),
    Setting("CONTACT", "", "Whom a label's public page says to call; empty leaves it out."),
    Setting("LIFT_KG", "", "What one person lifts by your rules, kg; empty: no number of people is given."),
    Setting("TIME_ZONE", "UTC", "Whose clock pages and prints show, as in Europe/Berlin."),
    Setting("LABEL_PREFIX", "HQ", "The company's two characters at the start of its label codes."),
)


KEY_FILE = "wrapping.key"
_LOCAL = ("localhost", "127.0.0.1")


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
    contact: str = ""
    given_key_file: Path | None = None
    proxies: int = 0
    time_zone: tzinfo = UTC

    @property
    def key_file(self) -> Path:
        """Where the wrapping key lies."""
        return self.given_key_file or self.dir / KEY_FILE

    @property
    def hosts(self) -> list[str]:
        """The host names that are served."""
        public = urlsplit(self.public_url).hostname
        return [*([public] if public else []), *_LOCAL, *self.trusted_hosts]

    @property
    def is_https(self) -> bool:
        """Whether phones come over https."""
        return self.public_url.startswith("https://")


def load_settings(env: Mapping[str, str] | None = None) -> Settings:
    """Read the settings, making the folder and its secret key when they are missing."""
    environment = os.environ if env is None else env
    value = {setting.name: environment.get(setting.variable) or setting.default for setting in SETTINGS}
    folder = Path(value["DIR"]).resolve()
    private_files.make_folder(folder)
    private_files.restrict(folder / KEY_FILE)
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
        contact=value["CONTACT"],
        given_key_file=_key_file(value["KEY_FILE"], environment.get("CREDENTIALS_DIRECTORY")),
        proxies=_count("PROXIES", value["PROXIES"]),
        time_zone=_zone(value["TIME_ZONE"]),
    )


def _kg(text: str) -> float | None:
    """A mass as it is set; raise ConfigError for one that is none."""
    if not text.strip():
        return None
    try:
        kg = float(text)
    except ValueError:
        kg = 0.0
    if not 0 < kg < inf:
        raise ConfigError(
            f"SEAMWALK_LIFT_KG: {text!r} is not a mass", "Write kilograms, as in 25, or nothing."
        )
    return kg


def _zone(name: str) -> tzinfo:
    """A time zone as it is set; raise ConfigError for one that this machine does not know."""
    try:
        return UTC if name == "UTC" else ZoneInfo(name)
    except (ValueError, OSError, ZoneInfoNotFoundError) as error:
        raise ConfigError(
            f"SEAMWALK_TIME_ZONE: {name!r} is no time zone that this machine knows",
            "Write a name of the IANA's database, as in Europe/Berlin, or nothing for UTC.",
        ) from error


def _count(name: str, text: str) -> int:
    """A small whole number as it is set; raise ConfigError for anything else."""
    if not (text.isascii() and text.isdigit() and len(text) == 1):
        raise ConfigError(f"SEAMWALK_{name}: {text!r} is not a number from 0 to 9", "Write one, as in 1.")
    return int(text)


def _key_file(path: str, credentials: str | None) -> Path | None:
    """The wrapping key's file as it is set, or as systemd gives it; None for the one in the folder."""
    if path:
        private_files.restrict(Path(path))
        return Path(path).resolve()
    offered = Path(credentials) / KEY_FILE if credentials else None
    return offered if offered is not None and offered.exists() else None


def _secret_key(path: Path) -> str:
    """What cookies and forms are signed with; a new one only logs everybody out."""
    if not path.exists():
        private_files.make_file(path, secrets.token_urlsafe(32).encode())
    private_files.restrict(path)
    return path.read_text()
