"""The sheet in a browser: one A4 page on paper, no text over other text, nothing outside."""

from __future__ import annotations

import base64
import re
from pathlib import Path
from typing import Any

import pytest

from hoistopt.show.sheet.data import Sheet
from hoistopt.show.sheet.html import sheet_html
from hoistopt.show.sheet.layout import laid_out
from tests.helpers.shown.sheets import invented_sheet

SHEETS = {
    "usual": invented_sheet(24),
    "sixty": invented_sheet(60, "Spüle für Weißbronze"),
    "long": invented_sheet(200, "Rinse after pickling", recipes=2),
}

_OVERLAPS = """
const found = [];
for (const page of document.querySelectorAll('.page')) {
  const paper = page.getBoundingClientRect();
  const boxes = [...page.children].map((part) => [part, part.getBoundingClientRect()]);
  for (const [part, box] of boxes) {
    if (box.left < paper.left + 1 || box.right > paper.right - 1 || box.bottom > paper.bottom - 1)
      found.push(['outside', part.textContent.slice(0, 40)]);
  }
  boxes.forEach(([a, p], i) => boxes.slice(i + 1).forEach(([b, q]) => {
    const across = p.left < q.right - 1 && q.left < p.right - 1;
    if (across && p.top < q.bottom - 2 && q.top < p.bottom - 2)
      found.push(['over', a.textContent.slice(0, 40), b.textContent.slice(0, 40)]);
  }));
  for (const cell of page.querySelectorAll('td, th'))
    if (cell.scrollWidth > cell.clientWidth + 1) found.push(['cut', cell.textContent]);
}
return found;
"""


@pytest.mark.parametrize("name", SHEETS)
def test_prints_on_as_many_pages_as_laid_out(driver: Any, tmp_path: Path, name: str) -> None:
    sheet: Sheet = SHEETS[name]
    path = tmp_path / "door.html"
    path.write_text(sheet_html(sheet), encoding="utf-8")
    driver.get(path.as_uri())
    assert driver.execute_script(_OVERLAPS) == []
    printed = driver.execute_cdp_cmd(
        "Page.printToPDF", {"preferCSSPageSize": True, "printBackground": True}
    )
    content = base64.b64decode(printed["data"])
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", content)) == len(laid_out(sheet))
