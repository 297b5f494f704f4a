"""Keys by name, also where selenium is missing and the tests are skipped."""

from __future__ import annotations

try:
    from selenium.webdriver.common.keys import Keys
except ImportError:  # pragma: no cover

    class Keys:  # type: ignore[no-redef]
        """Stands in for the real ones while the tests are collected."""

        def __getattr__(self, name: str) -> str:
            return name


__all__ = ["Keys"]
