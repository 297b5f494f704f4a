"""HTML as a tree: whatever text goes in comes out as text, never as markup."""

from __future__ import annotations

import base64
import hashlib
import json
from xml.etree.ElementTree import Element, tostring

from ...base.text import clean

Content = Element | str


def tag(name: str, /, *content: Content, **attributes: str) -> Element:
    """An element.

    Parameters
    ----------
    name : str
        Its name.
    content : Element or str
        Children and text, in order.
    attributes : str
        Attributes; an underscore at the end is dropped (``class_``), one within the
        name stands for a hyphen (``aria_label``).
    """
    made = Element(name, {_attribute(key): clean(value) for key, value in attributes.items()})
    last: Element | None = None
    for part in content:
        if isinstance(part, Element):
            made.append(part)
            last = part
        elif last is None:
            made.text = (made.text or "") + clean(part)
        else:
            last.tail = (last.tail or "") + clean(part)
    return made


def user(text: str, name: str = "bdi") -> Element:
    """What the user named, kept apart so that its writing direction stays its own."""
    return tag(name, text)


def _attribute(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def document(root: Element) -> str:
    """The whole page as text."""
    return "<!doctype html>\n" + tostring(root, encoding="unicode", method="html") + "\n"


def json_block(identity: str, data: object) -> Element:
    """Data for a script; nothing in it can end the block, whatever the names say."""
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return _raw("script", text, type="application/json", id=identity)


def script(text: str) -> Element:
    """A script of our own."""
    return _raw("script", text)


def style(text: str) -> Element:
    """A style sheet of our own."""
    return _raw("style", text)


def _raw(name: str, text: str, **attributes: str) -> Element:
    # The serializer writes what stands in these two elements as it is.
    if f"</{name}" in text.lower() or "<!--" in text:
        raise ValueError(f"this text would end its <{name}> too early")
    made = Element(name, attributes)
    made.text = text
    return made


def policy(script_text: str, style_text: str) -> Element:
    """A Content-Security-Policy under which only this script and this style sheet work.

    Everything else is refused: network, pictures, fonts, frames, forms, inline handlers
    and style attributes. https://www.w3.org/TR/CSP3/ (hashes: section 6.7.2).
    """
    rules = (
        "default-src 'none'",
        f"script-src '{_hash(script_text)}'",
        f"style-src '{_hash(style_text)}'",
        "base-uri 'none'",
        "form-action 'none'",
    )
    return tag("meta", http_equiv="Content-Security-Policy", content="; ".join(rules))


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return "sha256-" + base64.b64encode(digest).decode("ascii")
