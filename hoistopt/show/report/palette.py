"""The report's colours, light and dark.

Text keeps a contrast of at least 4.5 to 1 to what it stands on, signs and edges that
carry meaning at least 3 to 1: WCAG 2.2, success criteria 1.4.3 and 1.4.11.
``tests/show/report/test_report_palette.py`` holds the colours to this.
"""

from __future__ import annotations

LIGHT = {
    "page": "#f1f3f0",
    "card": "#ffffff",
    "sunk": "#e9edea",
    "text": "#17202a",
    "quiet": "#52606b",
    "line": "#cfd6d2",
    "edge": "#6d7b84",
    "accent": "#0b5d66",
    "on-accent": "#ffffff",
    "mark": "#fbe9c6",
    "focus": "#a8400b",
    "early": "#4659a6",
    "ready": "#1b7446",
    "scarce": "#8a5300",
    "over": "#b3261e",
    "window": "#bfe0cb",
    "bath": "#cfe5ea",
    "lane": "#f3f5f7",
    "restart": "#7a2e4d",
}

DARK = {
    "page": "#11171b",
    "card": "#1a2228",
    "sunk": "#242e35",
    "text": "#e9edef",
    "quiet": "#aab6be",
    "line": "#37444c",
    "edge": "#8796a0",
    "accent": "#63c8d2",
    "on-accent": "#0b1a1d",
    "mark": "#4a3c18",
    "focus": "#f4ab63",
    "early": "#a3b5f7",
    "ready": "#6bd39d",
    "scarce": "#f0b45f",
    "over": "#ff8f85",
    "window": "#2c5a42",
    "bath": "#24434c",
    "lane": "#202a31",
    "restart": "#e7a0bd",
}


def style_variables() -> str:
    """The colours as CSS custom properties.

    Light, or dark where the system or the page's own switch asks for it; always light
    on paper.
    """
    light, dark = variables(LIGHT), variables(DARK)
    return (
        f":root {{ color-scheme: light; {light} }}\n"
        "@media screen and (prefers-color-scheme: dark) {\n"
        f"  :root:not([data-theme='light']) {{ color-scheme: dark; {dark} }}\n"
        "}\n"
        "@media screen {\n"
        f"  :root[data-theme='dark'] {{ color-scheme: dark; {dark} }}\n"
        "}\n"
    )


def variables(colours: dict[str, str]) -> str:
    """Colours as declarations of CSS custom properties."""
    return " ".join(f"--{name}: {value};" for name, value in colours.items())
