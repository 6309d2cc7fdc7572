"""Where the house is, and the modules that the service is made of."""

from pathlib import Path

HOUSE = Path(__file__).resolve().parents[1]
SERVICE = HOUSE / "service"
MODULES = sorted(SERVICE.rglob("*.py"))
