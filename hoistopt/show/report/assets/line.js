// The drawing of the line: stations to scale along the track, the hoist above them.

const SVG = "http://www.w3.org/2000/svg";
const MOST_COLUMNS = 4;
const IN_TANK = 12; // from the upper edge of a tank to that of a carrier in it
const SIGNS = {
  early: "M0-5a5 5 0 1 0 .01 0zM0-2.6a2.6 2.6 0 1 1-.01 0z", // a ring
  ready: "M-5.5 0l2-2 2.3 2.3L3.6-4.6l2 2L-1.2 4.3z", // a tick
  close: "M0-6L6 5H-6zM0-2.6L-3 3.2H3z", // a hollow triangle
  over: "M0-6L6 5H-6z", // a triangle
};

/** An SVG element; text only ever as text. */
function draw(name, attributes, ...content) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...content);
  return made;
}

/** Draws the line once for a width, then moves what moves. */
class Line {
  constructor(data, place) {
    this.data = data;
    this.place = place;
    this.draw();
  }

  draw() {
    const wanted = Math.floor(this.place.clientWidth);
    if (!wanted || wanted === this.wanted) return;
    this.wanted = wanted;
    const laid = layOut(this.data, wanted);
    this.laid = laid;
    const size = { width: laid.width, height: laid.height, class: "line" };
    const picture = draw("svg", { ...size, "aria-hidden": "true", focusable: "false" });
    picture.append(this.ruler(), ...this.data.stations.map((_, n) => this.station(n)));
    this.carriers = draw("g", {});
    const numbers = this.data.hoists?.map(({ number }) => number) ?? [0];
    this.hoists = numbers.map((number) => this.hoistSign(number));
    picture.append(this.carriers, ...this.hoists);
    this.place.replaceChildren(picture);
    this.shown = new Map();
  }

  /** The rail, and along it the scale. */
  ruler() {
    const { laid, data } = this;
    const made = draw("g", { class: "ruler" });
    const rail = { x: 4, y: RAIL - 3, width: laid.width - 8, height: 5, rx: 2, class: "rail" };
    made.append(draw("rect", rail));
    if (!data.scaled) return made;
    const step = markStep(laid.last - laid.first, Math.max(3, laid.width / 90));
    for (let n = Math.ceil(laid.first / step - 1e-9); n * step <= laid.last + 1e-9; n += 1) {
      const x = laid.across(n * step);
      made.append(draw("path", { d: `M${x} 20v8`, class: "mark" }));
      const text = String(Math.round(n * step * 1e6) / 1e6);
      const unit = n === Math.ceil(laid.first / step - 1e-9) ? ` ${data.lengthUnit}` : "";
      const place = unit ? { x: x - 4, class: "scale first" } : { x, class: "scale" };
      made.append(draw("text", { y: 14, ...place }, text + unit));
    }
    return made;
  }

  /** A station: what kind it is shows in its shape. */
  station(number) {
    const { laid, data } = this;
    const { kind, name, out } = data.stations[number];
    const [half, x, top] = [laid.tank / 2, laid.xs[number], laid.top(number)];
    const high = TANK.height;
    const made = draw("g", { class: `station ${kind}${out ? " out" : ""}`, "data-station": number });
    made.append(draw("title", {}, out ? `${name}, ${OUT}` : name));
    const box = { x: x - half, y: top, width: laid.tank, height: high };
    if (kind === "tank" && !out) made.append(draw("rect", { ...box, y: top + 9, height: high - 9, class: "bath" }));
    const wall = `M${x - half} ${top}v${high}h${laid.tank}v${-high}`;
    const shelf = `M${x - half} ${top + high}h${laid.tank}m${-laid.tank + 3} 0v6m${laid.tank - 6} 0v-6`;
    made.append(draw("path", { d: kind === "tank" || kind === "dryer" ? wall : shelf, class: "wall" }));
    if (out) {
      // Crossed out and empty; its name below says why.
      const [left, right, low] = [x - half, x + half, top + high];
      made.append(draw("path", { d: `M${left} ${top}L${right} ${low}M${right} ${top}L${left} ${low}`, class: "crossed" }));
    }
    if (kind === "dryer") {
      // Warm air over the mouth, where no carrier stands and no sign of one is drawn.
      const wave = [-0.5, 0, 0.5].map((k) => `M${x + k * half} ${top + 8}q-2-3 0-6t0-6`);
      made.append(draw("path", { d: wave.join(""), class: "heat" }));
    }
    const from = top + high + TANK.below - 4;
    const to = laid.labelXs[number];
    made.append(draw("path", { d: `M${x} ${from}L${x} ${laid.bottom - 3}L${to} ${laid.bottom + 5}`, class: "lead" }));
    made.append(this.label(number));
    return made;
  }

  label(number) {
    const { laid } = this;
    const x = laid.labelXs[number];
    const text = draw("text", { x, y: laid.bottom + 16, class: laid.slanted ? "name slanted" : "name" });
    if (laid.slanted) text.setAttribute("transform", `rotate(-55 ${x} ${laid.bottom + 16})`);
    laid.names[number].forEach((line, n) => text.append(draw("tspan", { x, dy: n ? 13 : 0 }, line)));
    return text;
  }

  /** A hoist; of several each carries its number along the track, from 1; 0 is the only one. */
  hoistSign(number) {
    const rope = draw("path", { class: "rope" });
    const hook = draw("rect", { width: this.laid.tank + 2, height: 5, rx: 1.5, class: "hook" });
    hook.setAttribute("x", -this.laid.tank / 2 - 1);
    const cart = draw("path", { d: "M-17 -14h34v9h-34zM-12 -5a3.5 3.5 0 1 0 .1 0zM12 -5a3.5 3.5 0 1 0 .1 0z", class: "cart", transform: `translate(0 ${RAIL})` });
    const made = draw("g", { id: number > 1 ? `hoist-${number}` : "hoist" }, rope, hook, cart);
    if (number) {
      const y = RAIL - 15;
      const [shape, rx] = number % 2 ? ["plate round", 9] : ["plate square", 0];
      made.append(draw("rect", { x: -9, y: y - 9, width: 18, height: 18, rx, class: shape }));
      made.append(draw("text", { x: 0, y: y + 4.5, class: "hoist-number" }, `${number}`));
    }
    return Object.assign(made, { rope, hook });
  }

  /** How wide a carrier's place is, its middle and its lower edge, where several stand. */
  placeOf(stay) {
    const { laid, data } = this;
    const columns = Math.min(MOST_COLUMNS, data.stations[stay.station].places);
    const tank = laid.tank / columns;
    const across = laid.xs[stay.station] + ((stay.place % columns) - (columns - 1) / 2) * tank;
    const y = laid.top(stay.station) + IN_TANK - Math.floor(stay.place / columns) * 6;
    return { tank, x: across, y };
  }

  /** A carrier, its sign and its small gauge; made once, moved often. */
  carrierSign(key, recipe, number, tank) {
    const known = this.shown.get(key);
    if (known) return known;
    const { fill, line, letter } = this.data.recipes[recipe];
    const wide = Math.max(6, tank - 6);
    const body = draw("rect", { x: -wide / 2, y: 0, width: wide, height: 30, rx: 2, fill, stroke: line });
    const narrow = wide < 18;
    const told = narrow ? [carrierMark, `${number}`] : [carrierName(number)];
    if (letter) told.push(letter);
    const gap = narrow ? 9.3 : 12;
    const first = (narrow ? 18.4 : 19.3) - (gap * (told.length - 1)) / 2;
    const text = draw("text", { x: 0, y: first, class: narrow ? "carrier-number narrow" : "carrier-number" });
    told.forEach((part, n) => text.append(draw("tspan", { x: 0, dy: n ? gap : 0 }, part)));
    const gauge = draw("g", { class: "small-gauge", transform: `translate(${-tank / 2} 52)` });
    const bar = (name, y, height) => draw("rect", { class: name, y, height });
    const [track, window, dwell] = [bar("track", 0, 11), bar("window", 0, 11), bar("dwell", 3, 5)];
    const sign = draw("path", { transform: "translate(0 39)" });
    const limits = draw("path", { class: "limit" });
    gauge.append(track, window, dwell, limits);
    track.setAttribute("width", tank);
    const reading = draw("text", { x: 0, y: 77, class: "reading" });
    const made = draw("g", { class: "carrier" }, body, text, sign, gauge, reading);
    Object.assign(made, { sign, window, dwell, limits, reading, tank });
    this.shown.set(key, made);
    this.carriers.append(made);
    return made;
  }

  /** Show a state. */
  show(state) {
    if (!this.laid) return;
    const seen = new Set();
    for (const found of state.stays) {
      const { stay } = found;
      const key = `${stay.carrier} ${stay.since}`;
      seen.add(key);
      const { x, y, tank } = this.placeOf(stay);
      const made = this.carrierSign(key, stay.recipe, stay.carrier, tank);
      made.setAttribute("transform", `translate(${x} ${y})`);
      made.setAttribute("class", `carrier standing ${stateClass(found)}`);
      made.sign.setAttribute("d", stateSign(found));
      this.gauge(made, found);
    }
    state.hoists.forEach((hoist, n) => this.moveHoist(this.hoists[n], hoist, seen));
    for (const [key, made] of this.shown) {
      if (!seen.has(key)) {
        made.remove();
        this.shown.delete(key);
      }
    }
  }

  gauge(made, found) {
    const { tank } = made;
    const { stay, dwell } = found;
    const span = gaugeSpan(stay);
    const at = (time) => Math.min(tank, (tank * time) / span);
    made.window.setAttribute("x", at(stay.least));
    made.window.setAttribute("width", Math.max(1.5, at(stay.most ?? span) - at(stay.least)));
    made.dwell.setAttribute("width", at(dwell));
    const limits = stay.most === null ? [stay.least] : [stay.least, stay.most];
    made.limits.setAttribute("d", limits.map((time) => `M${at(time)}-2v15`).join(""));
    const reading = `${stay.doubt ? "\u2265 " : ""}${figure(this.data, dwell)} ${this.data.unit}`;
    made.reading.textContent = LETTER * reading.length <= tank + 2 * TANK.gap ? reading : "";
  }

  moveHoist(sign, hoist, seen) {
    const { laid } = this;
    const x = laid.across(hoist.x);
    sign.setAttribute("transform", `translate(${x} 0)`);
    let hook = HANG;
    if (hoist.run) {
      const { run } = hoist;
      const down = laid.top(hoist.phase === "lowering" ? run.to : run.from) + IN_TANK;
      hook = down + (HANG - down) * hoist.hook;
      const key = `hung ${run.carrier} ${run.recipe}`;
      seen.add(key);
      const made = this.carrierSign(key, run.recipe, run.carrier, laid.tank);
      made.setAttribute("class", "carrier hung");
      made.setAttribute("transform", `translate(${x} ${down + (HANG - down) * hoist.raised})`);
    }
    sign.hook.setAttribute("y", hook - 5);
    const side = laid.tank / 2 - 3;
    const rope = `V${hook - 4}`;
    sign.rope.setAttribute("d", `M${-side} ${RAIL - 4}${rope}M${side} ${RAIL - 4}${rope}`);
  }
}

/** The dwell at the right end of a gauge. */
function gaugeSpan(stay) {
  return stay.most === null ? Math.max(stay.least * 1.6, 1) : stay.most * 1.12 || 1;
}
