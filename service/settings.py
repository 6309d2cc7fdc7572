"""Settings from the environment, read once and checked at start. Imports nothing of ours."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field


class SettingWrong(Exception):
    """A setting that cannot be: one line says which, what it is, and what would be right."""


@dataclass(frozen=True)
class Settings:
    """How this process runs."""

    database_url: str = "sqlite:///fitting.sqlite3"
    bind: str = "127.0.0.1:8080"
    workers: int = 2
    database_connections: int = 5
    key_per_minute: int = 6_000
    web_per_minute: int = 600
    address_per_minute: int = 60
    limits_url: str = "memory://"
    trusted_proxies: int = 0
    public_url: str = ""
    webhooks: str = "public"
    webhook_seconds: int = 15
    webhook_lanes: int = 16
    traces_url: str = ""
    read_seconds: int = 15
    readings_keys: tuple[str, ...] = field(default=(), repr=False)

    @classmethod
    def read(cls, environment: Mapping[str, str]) -> Settings:
        """Settings from `FITTING_*`; raises SettingWrong."""
        unknown = sorted(name for name in environment if name.startswith("FITTING_") and name not in KNOWN)
        if unknown:
            raise SettingWrong(f"{unknown[0]} is not a setting; settings are {', '.join(KNOWN)}")
        return cls(
            database_url=_matching(environment, "FITTING_DATABASE_URL", cls.database_url, _DATABASE, _DATABASE_RIGHT),
            bind=_matching(environment, "FITTING_BIND", cls.bind, _BIND, "host:port or unix:path"),
            workers=_to_99(environment, "FITTING_WORKERS", cls.workers),
            database_connections=int(
                _matching(
                    environment,
                    "FITTING_DATABASE_CONNECTIONS",
                    str(cls.database_connections),
                    r"[1-9][0-9]?",
                    "1 to 99",
                )
            ),
            key_per_minute=_rate(environment, "FITTING_KEY_PER_MINUTE", cls.key_per_minute),
            web_per_minute=_rate(environment, "FITTING_WEB_PER_MINUTE", cls.web_per_minute),
            address_per_minute=_rate(environment, "FITTING_ADDRESS_PER_MINUTE", cls.address_per_minute),
            limits_url=_matching(environment, "FITTING_LIMITS_URL", cls.limits_url, _STORE, _STORE_RIGHT),
            trusted_proxies=int(
                _matching(environment, "FITTING_TRUSTED_PROXIES", str(cls.trusted_proxies), r"[0-9]", "0 to 9")
            ),
            public_url=_matching(environment, "FITTING_PUBLIC_URL", cls.public_url, _PUBLIC, "https://host"),
            webhooks=_matching(environment, "FITTING_WEBHOOKS", cls.webhooks, "public|anywhere", "public or anywhere"),
            webhook_seconds=int(
                _matching(environment, "FITTING_WEBHOOK_SECONDS", str(cls.webhook_seconds), _SECONDS, "1 to 60")
            ),
            webhook_lanes=_to_99(environment, "FITTING_WEBHOOK_LANES", cls.webhook_lanes),
            traces_url=_matching(environment, "FITTING_TRACES_URL", cls.traces_url, _TRACES, "http://collector:4318"),
            read_seconds=int(
                _matching(
                    environment,
                    "FITTING_READ_SECONDS",
                    str(cls.read_seconds),
                    r"[1-9][0-9]?|1[01][0-9]|120",
                    "1 to 120",
                )
            ),
            readings_keys=tuple(
                _matching(environment, "FITTING_READINGS_KEYS", "", _SEAL_KEYS, _SEAL_KEYS_RIGHT).split(",")
                if environment.get("FITTING_READINGS_KEYS")
                else ()
            ),
        )


KNOWN = (
    "FITTING_DATABASE_URL",
    "FITTING_BIND",
    "FITTING_WORKERS",
    "FITTING_DATABASE_CONNECTIONS",
    "FITTING_KEY_PER_MINUTE",
    "FITTING_WEB_PER_MINUTE",
    "FITTING_ADDRESS_PER_MINUTE",
    "FITTING_LIMITS_URL",
    "FITTING_TRUSTED_PROXIES",
    "FITTING_PUBLIC_URL",
    "FITTING_WEBHOOKS",
    "FITTING_WEBHOOK_SECONDS",
    "FITTING_WEBHOOK_LANES",
    "FITTING_TRACES_URL",
    "FITTING_READ_SECONDS",
    "FITTING_READINGS_KEYS",
)
# Their values are secret, or may hold a password: they are never shown.
_SECRET = {
    "FITTING_DATABASE_URL": "no address",
    "FITTING_LIMITS_URL": "no address",
    "FITTING_READINGS_KEYS": "no list of keys",
}
# Ports end at 65535.
_PORT = r"(?:[0-9]{1,4}|[1-5][0-9]{4}|6[0-4][0-9]{3}|65[0-4][0-9]{2}|655[0-2][0-9]|6553[0-5])"
_TRACES = r"|https?://[^\s/@?#]+(?:/[^\s?#]*)?"
_SECONDS = "[1-9]|[1-5][0-9]|60"
_BIND = rf"[^\s:]+:{_PORT}|unix:\S+"
_DATABASE = r"sqlite:///\S[^\n]*|postgresql\+psycopg://\S+"
_DATABASE_RIGHT = "sqlite:///path or postgresql+psycopg://user@host/name"

_STORE = r"memory://|rediss?://\S+|redis\+unix://\S+"
# Keys as Fernet makes them: 32 bytes in URL-safe base 64.
_SEAL_KEYS = r"[A-Za-z0-9_-]{43}=(?:,[A-Za-z0-9_-]{43}=){0,9}"
_SEAL_KEYS_RIGHT = "1 to 10 keys of the command new-readings-key, the newest first, with commas between"
_STORE_RIGHT = "memory:// or redis://host:port/number"
# Printed and put into a code: printable, short, and no slash at its end.
_PUBLIC = r"|https?://[A-Za-z0-9._~:/-]{1,99}(?<!/)"


def _to_99(environment: Mapping[str, str], name: str, default: int) -> int:
    return int(_matching(environment, name, str(default), r"[1-9][0-9]?", "1 to 99"))


def _rate(environment: Mapping[str, str], name: str, default: int) -> int:
    return int(_matching(environment, name, str(default), r"[1-9][0-9]{0,6}", "1 to 9999999"))


def _matching(environment: Mapping[str, str], name: str, default: str, pattern: str, right: str) -> str:
    value = environment.get(name, default)
    if not re.fullmatch(pattern, value):
        shown = _SECRET.get(name, repr(value))
        raise SettingWrong(f"{name} is {shown}; it should be {right}")
    return value
