"""Moments that entries give, as people read them: to the minute, at the clock of a place."""

from datetime import datetime, tzinfo


def in_words(moment: datetime, zone: tzinfo) -> str:
    """A moment with its day and its zone: `Fri 27 Nov 2026, 14:05 CET`."""
    local = moment.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b %Y, %H:%M %Z}"


def moment_in_words(at: str, zone: tzinfo) -> str:
    """A moment that an entry gives; what is none as it is."""
    try:
        return in_words(datetime.fromisoformat(at), zone)
    except (ValueError, OverflowError):
        return at


def local_clock(at: str, zone: tzinfo) -> datetime | None:
    """What a clock in the zone showed then, to the minute; None for what no spreadsheet takes."""
    try:
        local = datetime.fromisoformat(at).astimezone(zone)
    except (ValueError, OverflowError):
        return None
    # spreadsheets count days from 1900 on (ECMA-376 part 1, 18.17.4.1)
    return local.replace(second=0, microsecond=0, tzinfo=None) if local.year > 1900 else None
