// What the player says, in figures and words.

/** A running time, rounded down so that no limit seems reached before it is. */
function figure(data, value) {
  const scale = 10 ** data.decimals;
  return (Math.floor(value * scale + 1e-3) / scale).toFixed(data.decimals);
}

/** A time still to go, rounded up: with the running time it makes up the whole. */
function remaining(data, value) {
  const scale = 10 ** data.decimals;
  return (Math.ceil(value * scale - 1e-3) / scale).toFixed(data.decimals);
}

/** A limit, to the decimals it has. */
function limit(value) {
  return String(Math.round(value * 1e6) / 1e6);
}

/** What the hoist is doing, in a sentence. */
function doing(data, hoist) {
  const name = (station) => data.stations[station].name;
  const { run, next } = hoist;
  if (run) {
    const what = carrierName(run.carrier);
    if (run.from === run.to) return `Bringing ${what} to ${name(run.to)}`;
    if (!run.known && hoist.phase !== "dripping") {
      return `Moving ${what} from ${name(run.from)} to ${name(run.to)}`;
    }
    switch (hoist.phase) {
      case "lifting":
        return `Lifting ${what} from ${name(run.from)}`;
      case "dripping":
        return `Letting ${what} drip over ${name(run.from)}`;
      case "carrying":
        return `Carrying ${what} from ${name(run.from)} to ${name(run.to)}`;
      case "settling":
        return `Letting ${what} settle over ${name(run.to)}`;
      default:
        return `Lowering ${what} into ${name(run.to)}`;
    }
  }
  if (hoist.name !== undefined) {
    const waits = hoist.phase === "waiting";
    const where = hoist.station === null ? "" : ` ${waits ? "at" : "to"} ${name(hoist.station)}`;
    if (hoist.out) return hoist.station === null ? "Out of service" : `Out of service,${where}`;
    if (waits && !next && data.once) return hoist.station === null ? "Done" : `Done,${where}`;
    return `${waits ? "Waiting" : "Travelling empty"}${where}`;
  }
  if (!next) return `Done, at ${name(hoist.station)}`;
  if (hoist.phase === "waiting") return `Waiting at ${name(hoist.station)}`;
  if (hoist.phase === "settling") return `Settling, empty, at ${name(hoist.station)}`;
  return `Travelling empty to ${name(hoist.station)}`;
}

/** Whether a carrier may be lifted, in words. */
function stateWords(data, seen) {
  const { unit } = data;
  const left = seen.left === null ? "" : `${figure(data, seen.left)} ${unit}`;
  if (seen.state === "early") return `Not yet, ${remaining(data, seen.left)} ${unit} to go`;
  if (seen.state === "over") return "Over max. dwell";
  if (seen.close) return `Yes, only ${left} left`;
  return seen.left === null ? "Yes, no maximum" : `Yes, within ${left}`;
}

/** How long a carrier has stood: two figures where that is in doubt. */
function dwellWords(data, found) {
  const { doubt } = found.stay;
  const shortest = figure(data, found.dwell);
  return doubt ? `${shortest} to ${figure(data, found.dwell + doubt)}` : shortest;
}

/** The window of a stay. */
function windowWords(data, stay) {
  const least = limit(stay.least);
  const { unit } = data;
  return stay.most === null ? `min. ${least} ${unit}` : `${least} to ${limit(stay.most)} ${unit}`;
}

/** What is numbered: carriers of a cycle, C, told from its loads; loads of a programme, L. */
let carrierMark = "C";

function carrierName(number) {
  return `${carrierMark}${number}`;
}

/** The class and the sign of a state: a margin that is small has its own. */
function stateClass(seen) {
  return seen.close ? `${seen.state} close` : seen.state;
}

function stateSign(seen) {
  return SIGNS[seen.close ? "close" : seen.state];
}

/** A carrier, with the letter of its recipe where there are several. */
function carrierWords(data, stay) {
  const { letter } = data.recipes[stay.recipe];
  return `${carrierName(stay.carrier)}${letter ? ` (${letter})` : ""}`;
}

/** When it is, for eye and ear. */
function whenWords(data, state) {
  if (data.once) return `${figure(data, state.time)} ${data.unit}`;
  const inCycle = `${figure(data, state.inCycle)} ${data.unit}`;
  return `Cycle ${state.cycle} of ${data.cycles}, ${inCycle}`;
}

/** What every hoist is at, in a sentence each. */
function hoistsWords(data, hoists) {
  if (hoists.length === 1) return `${stepWords(hoists[0])}: ${doing(data, hoists[0])}`;
  return hoists
    .map((hoist) => `${hoist.number} ${hoist.name}, ${stepWords(hoist).toLowerCase()}: ${doing(data, hoist)}`)
    .join(". ");
}

/** The step the hoist is at, or goes to. */
function stepWords(hoist) {
  if (hoist.run) return hoist.run.step ? `Step ${hoist.run.step}` : "Before step 1";
  return hoist.next ? `Before step ${hoist.next.step}` : "After the last step";
}
