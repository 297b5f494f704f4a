// Where things are drawn: true places along the track to points of the picture.
// Stations that stand too close to be drawn side by side get tanks in a lower row, at
// their true place still.

const TANK = { widest: 76, narrowest: 17, gap: 3, height: 60, below: 36 };
const RAIL = 46;
const HANG = 70; // upper edge of a raised carrier
const FIRST_ROW = 128;
const SIDE = 24;
const LETTER = 7.2; // width of a letter of a label, roughly
const SLANT = 18; // least distance of two slanted labels: across their lines 1.2 times the type
const OUT = "out of service";
const TURN = (55 * Math.PI) / 180;

/** For each place in `xs` the first row in which a tank of `width` fits. */
function rowsOf(xs, width) {
  const order = xs.map((_, n) => n).sort((a, b) => xs[a] - xs[b]);
  const ends = [];
  const rows = [];
  for (const n of order) {
    let row = ends.findIndex((end) => end + width <= xs[n] + 1e-9);
    if (row < 0) row = ends.length;
    ends[row] = xs[n];
    rows[n] = row;
  }
  return rows;
}

/** The widest tanks that need no more rows than the narrowest do. */
function tankWidth(xs) {
  const needed = Math.max(...rowsOf(xs, TANK.narrowest + TANK.gap));
  let width = TANK.narrowest;
  while (width < TANK.widest && Math.max(...rowsOf(xs, width + 1 + TANK.gap)) <= needed) width += 1;
  return width;
}

/** A name on at most two lines of `most` letters, cut where it is longer. */
function lines(name, most) {
  const words = name.split(" ");
  const found = [""];
  for (const word of words) {
    const line = found[found.length - 1];
    if (!line) found[found.length - 1] = word;
    else if ([...line].length + [...word].length < most) found[found.length - 1] = `${line} ${word}`;
    else found.push(word);
  }
  const shown = found.slice(0, 2);
  if (found.length > 2) shown[1] += "…";
  return shown.map((line) => cut(line, most));
}

/** A text of at most `most` letters. */
function cut(text, most) {
  const letters = [...text];
  return letters.length <= most ? text : `${letters.slice(0, most - 1).join("")}…`;
}

/** Push labels apart to at least `gap`, keeping their order, as little as may be. */
function spread(xs, gap) {
  const order = xs.map((_, n) => n).sort((a, b) => xs[a] - xs[b] || a - b);
  const groups = [];
  for (const n of order) {
    groups.push({ members: [n], middle: xs[n] });
    while (groups.length > 1) {
      const [a, b] = groups.slice(-2);
      const reach = (gap * (a.members.length + b.members.length)) / 2;
      if (b.middle - a.middle >= reach) break;
      const members = [...a.members, ...b.members];
      const middle = members.reduce((sum, m) => sum + xs[m], 0) / members.length;
      groups.splice(-2, 2, { members, middle });
    }
  }
  const found = [];
  for (const { members, middle } of groups) {
    members.forEach((n, k) => {
      found[n] = middle + gap * (k - (members.length - 1) / 2);
    });
  }
  return found;
}

/** A round step, 1, 2 or 5 times a power of ten, for about `count` marks over `span`. */
function markStep(span, count) {
  const power = 10 ** Math.floor(Math.log10(span / count));
  return [1, 2, 5, 10].map((n) => n * power).find((step) => span / step <= count);
}

/** The places of everything, for a picture `wanted` wide; wider where that is too narrow. */
function layOut(data, wanted) {
  const places = data.stations.map((station) => station.x);
  // Several hoists may run out beyond the stations.
  const reached = (data.hoists ?? []).flatMap(({ way }) =>
    way.flatMap(([, corners]) => corners.map(([, x]) => x)),
  );
  const all = [...places, ...reached];
  const [first, last] = [Math.min(...all), Math.max(...all)];
  const least = places.length * (TANK.narrowest + TANK.gap) + 2 * SIDE;
  const width = Math.max(wanted, least);
  let [left, right] = [SIDE, SIDE];
  const across = (x) => left + ((x - first) * (width - left - right)) / (last - first);
  // Wide tanks at the ends need room beside them, and slanted labels to their left.
  left = right = Math.max(SIDE, tankWidth(places.map(across)) / 2 + 6);
  left -= Math.min(0, labels(data, places.map(across), 0).reach);
  const xs = places.map(across);
  const tank = tankWidth(xs);
  const rows = rowsOf(xs, tank + TANK.gap);
  const top = (station) => FIRST_ROW + rows[station] * (TANK.height + TANK.below);
  const bottom = FIRST_ROW + (Math.max(...rows) + 1) * (TANK.height + TANK.below);
  return { width, across, xs, tank, top, bottom, first, last, ...labels(data, xs, bottom) };
}

/** Names below the tanks: level where they fit, else slanted and pushed apart. */
function labels(data, xs, bottom) {
  const sorted = [...xs].sort((a, b) => a - b);
  const gap = Math.min(...sorted.slice(1).map((x, n) => x - sorted[n]));
  const most = Math.floor(gap / LETTER) - 1;
  const names = data.stations.map((station) => lines(station.name, Math.max(most, 4)));
  const fits = most >= 8 && names.every((name) => !name.join("").includes("…"));
  const out = data.stations.some((station) => station.out);
  // Said below the name, each word of it no longer than the shortest place for a name.
  data.stations.forEach((station, n) => station.out && names[n].push("out of", "service"));
  const wide = (name) => LETTER * Math.max(...name.map((line) => [...line].length));
  if (fits) {
    const reach = Math.min(...names.map((name, n) => xs[n] - wide(name) / 2)) - 4;
    return { labelXs: xs, slanted: false, names, height: bottom + (out ? 60 : 34), reach };
  }
  const short = data.stations.map((station) => {
    const name = cut(station.name, 18);
    return [station.out ? `${name}, ${OUT}` : name];
  });
  const labelXs = spread(xs, SLANT);
  const longest = Math.max(...short.map(wide));
  const height = bottom + 26 + longest * Math.sin(TURN);
  const reach = Math.min(...short.map((name, n) => labelXs[n] - wide(name) * Math.cos(TURN))) - 10;
  return { labelXs, slanted: true, names: short, height, reach };
}
