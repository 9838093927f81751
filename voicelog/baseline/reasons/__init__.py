"""Things to notice about the child: one file a reason, words in ``_reasons.yaml``."""

from importlib import import_module
from pkgutil import iter_modules

from voicelog.baseline.reasons.finding import LEVELS, REGISTRY, Finding, Level, reason
from voicelog.baseline.view import View

__all__ = ["LEVELS", "REGISTRY", "Finding", "Level", "findings", "reason"]

for _module in iter_modules(__path__):
    if _module.name != "finding":
        import_module(f"{__name__}.{_module.name}")


def findings(view: View) -> list[Finding]:
    """Return everything noticed at that moment, what matters most first."""
    found = [f for f in (REGISTRY[name](view) for name in sorted(REGISTRY)) if f is not None]
    return sorted(found, key=lambda f: LEVELS.index(f.level))
