// The player: a clock, the controls, and what they show.

const SPEEDS = [1, 2, 5, 10, 20, 30, 60, 120, 300];
const CYCLE_SHOULD_TAKE = 40; // seconds at the screen, for the speed chosen at first
const SPOKEN_EVERY = 4000; // milliseconds between announcements while playing
const SLIDER_SPOKEN_EVERY = 2000;

class Player {
  constructor(data) {
    const get = (id) => document.getElementById(id);
    this.data = data;
    this.get = get;
    if (data.mark) carrierMark = data.mark;
    this.part = data.parts.find((part) => part.id === "steady") ?? data.parts[0];
    this.time = this.part.from;
    this.playing = false;
    this.still = matchMedia("(prefers-reduced-motion: reduce)");
    this.spokenAt = this.sliderSpokenAt = -Infinity;
    for (const id of ["player", "board-box"]) get(id).hidden = false;
    this.line = new Line(data, get("stage"));
    this.board = new Board(data, get("board-box"));
    this.steps = new Steps(get("steps-box"));
    this.timeway = document.querySelector("svg.timeway");
    this.offerParts();
    this.offerSpeeds();
    this.listen();
    this.choose(this.part);
  }

  offerParts() {
    const box = this.get("parts");
    box.className = "choice";
    box.hidden = this.data.parts.length < 2;
    for (const part of this.data.parts) {
      const input = document.createElement("input");
      Object.assign(input, { type: "radio", name: "part", value: part.id });
      input.checked = part === this.part;
      input.addEventListener("change", () => this.choose(part));
      const label = document.createElement("label");
      const words = document.createElement("span");
      words.textContent = part.name;
      label.append(input, words);
      box.append(label);
    }
  }

  offerSpeeds() {
    const seconds = this.data.cycleTime * this.data.secondsPerUnit;
    const wanted = seconds / CYCLE_SHOULD_TAKE;
    const nearest = SPEEDS.reduce((a, b) =>
      Math.abs(Math.log(b / wanted)) < Math.abs(Math.log(a / wanted)) ? b : a,
    );
    for (const speed of SPEEDS) {
      const option = document.createElement("option");
      option.value = option.textContent = `${speed}`;
      option.textContent = speed === 1 ? "true time" : `${speed} times`;
      option.selected = speed === nearest;
      this.get("speed").append(option);
    }
    this.get("again").checked = true;
  }

  listen() {
    const { get } = this;
    get("go-play").addEventListener("click", () => this.toggle());
    get("go-first").addEventListener("click", () => this.jump(this.part.from));
    get("go-last").addEventListener("click", () => this.jump(this.part.to));
    get("go-back").addEventListener("click", () => this.move(false));
    get("go-on").addEventListener("click", () => this.move(true));
    get("time").addEventListener("input", (event) => this.jump(Number(event.target.value)));
    get("stage").addEventListener("keydown", (event) => this.key(event));
    get("time").addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => {
      this.line.draw();
      this.show();
    }).observe(get("stage"));
  }

  key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const keys = {
      " ": () => this.toggle(),
      ArrowLeft: () => this.jump(this.time - this.data.scrub),
      ArrowDown: () => this.jump(this.time - this.data.scrub),
      ArrowRight: () => this.jump(this.time + this.data.scrub),
      ArrowUp: () => this.jump(this.time + this.data.scrub),
      PageUp: () => this.move(false),
      PageDown: () => this.move(true),
      Home: () => this.jump(this.part.from),
      End: () => this.jump(this.part.to),
    };
    if (!keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  }

  choose(part) {
    this.part = part;
    const { data } = this;
    this.moments = momentsOf(data, part.from, part.to);
    const slider = this.get("time");
    [slider.min, slider.max] = [part.from, part.to];
    this.jump(part.from);
  }

  toggle() {
    if (this.playing) this.pause();
    else this.play();
  }

  play() {
    if (this.time >= this.part.to - CLOSE) this.time = this.part.from;
    this.playing = true;
    this.label("Pause", "M4 3h3v10H4zM9 3h3v10H9z");
    this.last = performance.now();
    requestAnimationFrame((now) => this.tick(now));
    this.show(true);
  }

  pause() {
    this.playing = false;
    this.label("Play", "M4 2v12l10-6z");
    this.show(true);
  }

  label(words, shape) {
    const button = this.get("go-play");
    button.title = words;
    button.querySelector(".words").textContent = words;
    button.querySelector("path").setAttribute("d", shape);
  }

  tick(now) {
    if (!this.playing) return;
    const rate = Number(this.get("speed").value) / this.data.secondsPerUnit;
    this.time += (Math.max(0, now - this.last) / 1000) * rate;
    this.last = now;
    if (this.time >= this.part.to) {
      if (!this.get("again").checked) {
        this.time = this.part.to;
        this.pause();
        return;
      }
      const length = this.part.to - this.part.from;
      this.time = this.part.from + ((this.time - this.part.from) % length);
    }
    this.show();
    requestAnimationFrame((then) => this.tick(then));
  }

  /** Go to a time and stay there. */
  jump(time) {
    this.time = Math.min(this.part.to, Math.max(this.part.from, time));
    if (this.playing) this.pause();
    else this.show(true);
  }

  move(forward) {
    this.jump(neighbourMove(this.data, this.part, this.time, forward));
  }

  /** Show this moment; while playing with reduced motion, the last at which something began. */
  show(speak = false) {
    const calm = this.playing && this.still.matches;
    const time = calm ? lastMoment(this.moments, this.time) : this.time;
    if (calm && !speak && time === this.shown) return;
    this.shown = time;
    const state = stateAt(this.data, time);
    this.line.show(state);
    this.board.show(state);
    this.steps.show(state.hoists);
    this.showTime(state, speak);
    this.showOnDiagram(time);
  }

  showTime(state, speak) {
    const { data } = this;
    const words = hoistsWords(data, state.hoists);
    const when = whenWords(data, state);
    put(this.get("now-line"), `${when}. ${words}.`);
    const slider = this.get("time");
    slider.value = state.time;
    const now = performance.now();
    if (speak || now - this.sliderSpokenAt >= SLIDER_SPOKEN_EVERY) {
      slider.setAttribute("aria-valuetext", `${when}. ${words}`);
      this.sliderSpokenAt = now;
    }
    if (speak || now - this.spokenAt >= SPOKEN_EVERY) {
      this.spokenAt = now;
      this.speak(`${words}. ${when}.`);
    }
  }

  /** Polite, and never more than one in a while: a scrub says where it ended. */
  speak(text) {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => put(this.get("spoken"), text), 400);
  }

  /** The line that follows the player through the time-way diagram. */
  showOnDiagram(time) {
    if (!this.timeway) return;
    const { left, right, span } = this.timeway.dataset;
    const mark = document.getElementById("timeway-now");
    let at = time - this.data.steadyFrom;
    while (at > span) at -= this.data.cycleTime;
    mark.style.display = (this.data.once || this.part.id === "steady") && at >= 0 ? "inline" : "none";
    const x = Number(left) + ((right - left) * at) / span;
    mark.setAttribute("x1", x);
    mark.setAttribute("x2", x);
  }
}

const player = new Player(JSON.parse(document.getElementById("player-data").textContent));
