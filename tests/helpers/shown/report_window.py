"""A report open in the browser: what the tests see of it and do to it."""

from __future__ import annotations

import base64
import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

# All at once, so that a moving player is seen at one moment.
_SEEN = """
const middle = (group) => {
  const box = group.querySelector('.wall').getBBox();
  return box.x + box.width / 2;
};
const cells = (row, name) => row.querySelector('.' + name).textContent;
const current = document.querySelector('[aria-current=step]');
const coming = document.querySelector('.coming');
return {
  time: Number(document.getElementById('time').value),
  hoist: document.getElementById('hoist').transform.baseVal[0].matrix.e,
  stations: [...document.querySelectorAll('.station')].map(middle),
  hung: document.querySelectorAll('.carrier.hung').length,
  words: document.getElementById('now-line').textContent,
  current: current && current.id,
  coming: coming && coming.id,
  board: Object.fromEntries([...document.querySelectorAll('[id^=place-]')].map((row) => [
    row.id.slice(6),
    { carrier: cells(row, 'carrier'), reading: cells(row, 'reading'),
      state: cells(row, 'state'), kind: row.classList[0],
      close: row.classList.contains('close'),
      window: cells(row, 'gauge'), sign: row.querySelector('.sign')?.getAttribute('d') ?? '' },
  ])),
};
"""

_PUT = """
((at) => {
  const slider = document.getElementById('time');
  slider.value = at;
  slider.dispatchEvent(new Event('input', {bubbles: true}));
})
"""


class Window:
    """One report in the browser of the session."""

    def __init__(self, driver: Any, path: Path) -> None:
        self.driver = driver
        self.url = path.as_uri()

    def open(self) -> None:
        """Load the page; what the browser logged before is forgotten."""
        self.driver.get_log("browser")
        self.driver.get_log("performance")
        self.driver.get(self.url)

    def resize(self, width: int, height: int) -> None:
        """The size of the page's viewport, in CSS pixels."""
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)

    def media(self, **features: str) -> None:
        """Preferences such as ``prefers_color_scheme="dark"``; left out, light and lively."""
        wanted = {"prefers_color_scheme": "light", "prefers_reduced_motion": "no-preference"}
        listed = [
            {"name": name.replace("_", "-"), "value": value}
            for name, value in (wanted | features).items()
        ]
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": listed})

    def run(self, script: str, *arguments: Any) -> Any:
        """Run a script in the page and give back what it returns."""
        return self.driver.execute_script(script, *arguments)

    def run_at(self, times: Sequence[float], script: str) -> list[Any]:
        """What a script returns at each of these times, the slider put there before."""
        each = (
            f"return arguments[0].map((at) => {{ {_PUT} (at); return (() => {{ {script} }})(); }});"
        )
        found: list[Any] = self.run(each, list(times))
        return found

    def seen(self) -> dict[str, Any]:
        """What can be seen at this moment."""
        found: dict[str, Any] = self.run(_SEEN)
        return found

    def seen_at(self, times: Sequence[float]) -> list[dict[str, Any]]:
        """What can be seen at each of these times, the slider put there before."""
        return self.run_at(times, _SEEN)

    def time(self) -> float:
        """The time shown, and nothing else: `seen` measures every tank for it."""
        return float(self.run("return document.getElementById('time').value"))

    def click(self, selector: str) -> None:
        """A real click."""
        self.driver.find_element("css selector", selector).click()

    def press(self, selector: str, *keys: str) -> None:
        """Real key presses, such as ``END`` or ``CONTROL+END``, with the focus on an element."""
        element = self.driver.find_element("css selector", selector)
        self.run("arguments[0].focus()", element)
        self.type(*keys)

    def type(self, *keys: str) -> None:
        """Real key presses, wherever the focus is."""
        from selenium.webdriver.common.keys import Keys

        for key in keys:
            signs = [getattr(Keys, name) for name in key.split("+")]
            released = Keys.NULL if len(signs) > 1 else ""
            self.driver.switch_to.active_element.send_keys("".join(signs) + released)

    def choose(self, part: str) -> None:
        """Choose a part of the run, as a click on its label does."""
        label = self.driver.find_element("css selector", f"input[name=part][value={part}]")
        self.run("arguments[0].closest('label').scrollIntoView({block: 'center'})", label)
        label.click()

    def theme(self, name: str) -> None:
        """Choose an appearance: light, dark or system."""
        self.click(f"input[name=appearance][value={name}]")

    def wait(self, seconds: float = 0.1) -> None:
        """Let the page have its way for a while."""
        self.run("return new Promise((done) => setTimeout(done, arguments[0]))", 1000 * seconds)

    def scrub(self, time: float) -> None:
        """Put the slider where a hand would, and say so as the browser does."""
        self.run(f"{_PUT} (arguments[0]);", time)

    def part(self) -> tuple[float, float]:
        """From when to when the slider goes."""
        found = self.run("const s = document.getElementById('time'); return [s.min, s.max]")
        return float(found[0]), float(found[1])

    def picture(self, name: str) -> bytes:
        """A picture of what is in the window.

        Where HOISTOPT_SCREENSHOTS names a folder, of the whole page, and kept there.
        """
        folder = os.environ.get("HOISTOPT_SCREENSHOTS")
        # Packed quickly, not tightly: PNG loses nothing either way.
        asked: dict[str, Any] = {"optimizeForSpeed": True}
        if folder:
            size = self.run(
                "const r = document.documentElement; return [r.scrollWidth, r.scrollHeight]"
            )
            clip = {"x": 0, "y": 0, "width": size[0], "height": size[1], "scale": 1}
            asked |= {"captureBeyondViewport": True, "clip": clip}
        taken = self.driver.execute_cdp_cmd("Page.captureScreenshot", asked)
        data = base64.b64decode(taken["data"])
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            Path(folder, f"{name}.png").write_bytes(data)
        return data

    def requests(self) -> list[str]:
        """Addresses asked for since the page was opened, but for those its policy refused."""
        asked: dict[str, str] = {}
        for entry in self.driver.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            method, params = message["method"], message["params"]
            if method in ("Network.requestWillBeSent", "Network.webSocketCreated"):
                asked[params["requestId"]] = params.get("url") or params["request"]["url"]
            elif method == "Network.loadingFailed" and params.get("blockedReason") == "csp":
                asked.pop(params["requestId"], None)
        return list(asked.values())

    def assert_quiet(self) -> None:
        """Nothing on the console, nothing asked for but the file itself."""
        assert self.driver.get_log("browser") == []
        assert [url for url in self.requests() if not url.startswith(self.url)] == []
