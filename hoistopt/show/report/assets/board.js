// The dwell board and the step table: what stands where, for how long, which step is on.

/** One row per place of a station; filled anew only where something changed. */
class Board {
  constructor(data, root) {
    this.data = data;
    this.rows = new Map();
    for (const row of root.querySelectorAll("[id^='place-']")) {
      const cell = (name) => row.querySelector(`.${name}`);
      this.rows.set(row.id, {
        row,
        carrier: cell("carrier"),
        reading: cell("reading"),
        gauge: cell("gauge"),
        state: cell("state"),
      });
    }
  }

  show(state) {
    const free = new Set(this.rows.keys());
    for (const found of state.stays) {
      const id = `place-${found.stay.station}-${found.stay.place}`;
      free.delete(id);
      this.fill(this.rows.get(id), found);
    }
    for (const id of free) this.clear(this.rows.get(id));
  }

  fill(cells, found) {
    const { data } = this;
    const { stay } = found;
    put(cells.carrier, carrierWords(data, stay));
    put(cells.reading, dwellWords(data, found));
    put(cells.state, stateWords(data, found));
    cells.row.className = stateClass(found);
    if (cells.stay !== stay) {
      cells.stay = stay;
      cells.bar = gaugeBar(data, stay);
      cells.gauge.replaceChildren(cells.bar.picture);
    }
    const share = Math.min(1, found.dwell / gaugeSpan(stay));
    cells.bar.dwell.setAttribute("width", GAUGE.width * share);
    cells.bar.sign.setAttribute("d", stateSign(found));
  }

  clear(cells) {
    if (cells.stay === null) return;
    cells.stay = null;
    cells.row.className = "free";
    for (const cell of [cells.carrier, cells.reading]) put(cell, "");
    put(cells.state, cells.state.dataset.free ?? "empty");
    cells.gauge.replaceChildren();
  }
}

/** Write a text if it is another one. */
function put(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

const GAUGE = { width: 130, height: 22 };

/** The gauge of one stay: its window on a scale from 0, the dwell running along it. */
function gaugeBar(data, stay) {
  const span = gaugeSpan(stay);
  const at = (time) => (GAUGE.width * time) / span;
  const words = windowWords(data, stay);
  const rect = (name, x, width) => draw("rect", { class: name, x, y: 3, width, height: 16 });
  const end = stay.most ?? span;
  const window = rect("window", at(stay.least), Math.max(1.5, at(end) - at(stay.least)));
  const dwell = draw("rect", { class: "dwell", x: 0, y: 7, width: 0, height: 8 });
  const sign = draw("path", { transform: `translate(${GAUGE.width + 12} 11)`, class: "sign" });
  const limits = [stay.least, ...(stay.most === null ? [] : [stay.most])];
  const marks = draw("path", { class: "limit", d: limits.map((time) => `M${at(time)} 1v20`).join("") });
  const size = { width: GAUGE.width + 20, height: GAUGE.height };
  const picture = draw(
    "svg",
    { ...size, viewBox: `0 0 ${size.width} ${size.height}`, "aria-hidden": "true", focusable: "false" },
    rect("track", 0, GAUGE.width),
    window,
    dwell,
    marks,
    sign,
  );
  const text = document.createElement("span");
  text.className = "window-words";
  text.textContent = words;
  const box = document.createElement("span");
  box.className = "gauge-box";
  box.append(picture, text);
  return { picture: box, dwell, sign };
}

/** Marks the step that each hoist is at, or comes to next, and keeps it in view in its own box. */
class Steps {
  constructor(box) {
    this.box = box;
    this.marked = new Map();
  }

  show(hoists) {
    const wanted = new Map();
    for (const { next, run } of hoists) {
      const row = next && document.getElementById(`step-${next.step}`);
      if (row) wanted.set(row, Boolean(run));
    }
    for (const row of this.marked.keys()) {
      if (wanted.has(row)) continue;
      row.removeAttribute("aria-current");
      row.className = "";
    }
    for (const [row, on] of wanted) {
      if (this.marked.get(row) === on) continue;
      row.className = on ? "current" : "coming";
      if (on) row.setAttribute("aria-current", "step");
      else row.removeAttribute("aria-current");
      this.reveal(row);
    }
    this.marked = wanted;
  }

  /** Scroll the box, never the page. */
  reveal(row) {
    const head = this.box.querySelector("thead").offsetHeight;
    const [top, bottom] = [row.offsetTop, row.offsetTop + row.offsetHeight];
    if (top - head < this.box.scrollTop) this.box.scrollTop = top - head - 4;
    else if (bottom > this.box.scrollTop + this.box.clientHeight) {
      this.box.scrollTop = bottom - this.box.clientHeight + 4;
    }
  }
}
