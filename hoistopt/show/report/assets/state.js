// Where everything is at a given time. Nothing here knows the page or a clock: the same
// record and the same time give the same answer. Times are in the problem's unit,
// places along the track in its length unit.

const CLOSE = 1e-6; // the record has six decimals
const HOOK_SHARE = 0.2;

/** Number of the last run that has started by `time`, or -1. */
function lastStarted(runs, time) {
  let low = 0;
  let high = runs.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (runs[middle].start <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** Share of a way covered after `elapsed` of `duration`, with `ramp` of it at each end. */
function wayCovered(elapsed, duration, ramp) {
  if (elapsed >= duration) return 1;
  if (elapsed <= 0) return 0;
  const top = 1 / (duration - ramp);
  if (elapsed < ramp) return (top * elapsed * elapsed) / (2 * ramp);
  const left = duration - elapsed;
  if (left < ramp) return 1 - (top * left * left) / (2 * ramp);
  return top * (elapsed - ramp / 2);
}

/** Place and phase `elapsed` into a travel [time, ramp, settling] between two stations. */
function travelling(data, from, to, travel, elapsed) {
  const [time, ramp, settling] = travel;
  const [start, end] = [data.stations[from].x, data.stations[to].x];
  const share = wayCovered(elapsed, time - settling, ramp);
  return { x: start + (end - start) * share, arrived: elapsed >= time - settling - CLOSE };
}

/**
 * Height of carrier and hook, 1 up and 0 down, after a share of lifting; lowering is the
 * same backwards. The hook goes down first: a sketch, as only the whole time is known.
 */
function heights(share) {
  if (share < HOOK_SHARE) return { raised: 0, hook: 1 - share / HOOK_SHARE };
  const raised = (share - HOOK_SHARE) / (1 - HOOK_SHARE);
  return { raised, hook: raised };
}

/** The hoist with a carrier. */
function loadedHoist(data, run, time) {
  const x = data.stations[run.from].x;
  let elapsed = time - run.start;
  const at = { x, run, next: run, raised: 1, hook: 1 };
  if (elapsed < run.lift) return { ...at, phase: "lifting", ...heights(elapsed / run.lift) };
  elapsed -= run.lift;
  if (elapsed < run.drip) return { ...at, phase: "dripping" };
  elapsed -= run.drip;
  if (elapsed < run.travel[0]) {
    const way = travelling(data, run.from, run.to, run.travel, elapsed);
    return { ...at, x: way.x, phase: way.arrived ? "settling" : "carrying" };
  }
  const left = run.end - time;
  const lower = run.end - run.start - run.lift - run.drip - run.travel[0];
  const share = lower > 0 ? Math.min(1, Math.max(0, left / lower)) : 0;
  return { ...at, x: data.stations[run.to].x, phase: "lowering", ...heights(share) };
}

/** The hoist without a carrier, on its way to the next run or waiting for it. */
function emptyHoist(data, last, next, time) {
  const at = { run: null, next: next || null, raised: 1, hook: 1 };
  if (!next) return { ...at, x: data.stations[last.to].x, station: last.to, phase: "idle" };
  const arrival = next.start - next.waited;
  const [way] = next.empty;
  if (next.cameFrom !== null && time < arrival) {
    const elapsed = time - (arrival - way);
    const found = travelling(data, next.cameFrom, next.from, next.empty, elapsed);
    const phase = found.arrived ? "settling" : "travelling";
    return { ...at, x: found.x, station: next.from, phase };
  }
  return { ...at, x: data.stations[next.from].x, station: next.from, phase: "waiting" };
}

/** Where the hoist is and what it does. */
function hoistAt(data, time) {
  const index = lastStarted(data.runs, time);
  const run = data.runs[index];
  if (run && time < run.end) return loadedHoist(data, run, time);
  return emptyHoist(data, run, data.runs[index + 1], time);
}

/** The runs of one of several hoists. */
function runsOf(data, hoist) {
  hoist.runs ??= data.runs.filter((run) => run.hoist === hoist.name);
  return hoist.runs;
}

/**
 * The piece of a hoist's way at a time, and where on it the hoist is; all cycles are alike, and
 * a programme is made once.
 */
function wayAt(data, hoist, time) {
  const { once, cycleTime } = data;
  const inCycle = once ? time : time - Math.floor(time / cycleTime) * cycleTime;
  const shifts = once ? [0] : [0, -cycleTime, cycleTime, -2 * cycleTime];
  for (const [kind, corners] of hoist.way) {
    for (const shift of shifts) {
      const at = inCycle - shift;
      if (at < corners[0][0] || at > corners[corners.length - 1][0]) continue;
      const after = Math.max(1, corners.findIndex(([corner]) => corner >= at));
      const [[t, x], [u, y]] = [corners[after - 1], corners[after] ?? corners[after - 1]];
      const share = u > t ? (at - t) / (u - t) : 0;
      return { kind, x: x + (y - x) * share, to: corners[corners.length - 1][1] };
    }
  }
  return { kind: "waiting", x: hoist.way[0][1][0][1], to: null };
}

/** Where one of several hoists is and what it does. */
function hoistOnItsWay(data, hoist, time) {
  const runs = runsOf(data, hoist);
  const index = lastStarted(runs, time);
  const run = runs[index];
  const way = wayAt(data, hoist, time);
  const whose = { name: hoist.name, number: hoist.number, out: hoist.out === true };
  if (run && time < run.end) return { ...loadedHoist(data, run, time), x: way.x, ...whose };
  const next = runs[index + 1] || null;
  const phase = way.kind === "waiting" ? "waiting" : "travelling";
  const there = data.stations.findIndex((station) => Math.abs(station.x - way.to) < CLOSE);
  const station = there < 0 ? null : there;
  return { run: null, next, raised: 1, hook: 1, x: way.x, station, phase, ...whose };
}

/** Where every hoist is and what it does, in track order. */
function hoistsAt(data, time) {
  if (!data.hoists) return [hoistAt(data, time)];
  return data.hoists.map((hoist) => hoistOnItsWay(data, hoist, time));
}

/**
 * How a dwell stands to its window: "early" below the minimum, "ready" within, "over"
 * beyond the maximum. `left` is the time until that changes, null where it never does;
 * `close` tells whether at most the share `small` of the window is left.
 */
function verdict(dwell, least, most, small) {
  if (dwell < least - CLOSE) return { state: "early", left: least - dwell, close: false };
  if (most === null) return { state: "ready", left: null, close: false };
  if (dwell > most + CLOSE) return { state: "over", left: null, close: false };
  const left = Math.max(0, most - dwell);
  return { state: "ready", left, close: left <= small * (most - least) + CLOSE };
}

/** Every carrier that stands in a station, with its dwell so far. */
function staysAt(data, time) {
  const found = [];
  for (const stay of data.stays) {
    if (stay.since > time) break; // they come in order of time
    if (time < stay.until) {
      const dwell = time - stay.since;
      // In doubt the shortest dwell counts against the minimum, the longest against the maximum.
      const most = stay.most === null ? null : stay.most - (stay.doubt ?? 0);
      found.push({ stay, dwell, ...verdict(dwell, stay.least, most, data.smallMargin) });
    }
  }
  return found;
}

/** Everything there is to see at `time`. */
function stateAt(data, time) {
  const cycle = Math.min(Math.floor((time + CLOSE) / data.cycleTime), data.cycles - 1);
  return {
    time,
    cycle: cycle + 1,
    inCycle: Math.max(0, time - cycle * data.cycleTime),
    hoists: hoistsAt(data, time),
    stays: staysAt(data, time),
  };
}

/** Moments between `from` and `to` at which the hoist begins something else, in order. */
function momentsOf(data, from, to) {
  const found = [from, to];
  for (const run of data.runs) {
    const arrival = run.start - run.waited;
    const up = run.start + run.lift;
    const over = up + run.drip + run.travel[0];
    found.push(run.start, up, up + run.drip, over, run.end);
    if (!data.hoists) found.push(arrival - run.empty[0], arrival);
  }
  for (const { way } of data.hoists ?? []) {
    for (const [, [[begins]]] of way) {
      const [first, last] = data.once ? [0, 0] : [-1, data.cycles];
      for (let n = first; n <= last; n += 1) found.push(begins + n * data.cycleTime);
    }
  }
  const within = found.filter((time) => from <= time && time <= to).sort((a, b) => a - b);
  return within.filter((time, n) => n === 0 || time - within[n - 1] > CLOSE);
}

/** The last of `moments` that is not after `time`. */
function lastMoment(moments, time) {
  let found = moments[0];
  for (const moment of moments) if (moment <= time + CLOSE) found = moment;
  return found;
}

/** Start of the run before or after `time` within a part; the part's end if there is none. */
function neighbourMove(data, part, time, forward) {
  const starts = data.runs.map((run) => run.start).filter((s) => part.from <= s && s < part.to);
  if (forward) return starts.find((start) => start > time + CLOSE) ?? part.to;
  return starts.findLast((start) => start < time - CLOSE) ?? part.from;
}
