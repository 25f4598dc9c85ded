"use strict";
// The reader works the controls; this finds the state they make among those in the page and shows it.
(() => {
  const told = document.getElementById("bench-data");
  if (!told) return;
  const { controls, states, designs } = JSON.parse(told.textContent);
  const bench = document.getElementById("bench");
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const sheets = all(".sheet");
  const runButton = document.getElementById("run");
  const stepButton = document.getElementById("step");
  const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
  const HALF_BEAT = 1000 / 3; // 90 flashes a minute, half of each closed
  const QUARTER_BEAT = 250; // two flashers at 60 a minute, a quarter apart: no lamp beyond 2 changes of light a second
  const keyOf = (setting, phases) => JSON.stringify([setting, phases]);
  const numberOf = new Map(states.map((state, at) => [keyOf(state.setting, state.phases), at]));

  const start = states[Number(bench.dataset.start)];
  const setting = [...start.setting];
  let beat = 0;
  let running = false;
  let timer = 0;
  let chosen = 0;

  const flashers = () => controls.map((control, at) => at).filter((at) => controls[at].kind === "flasher" && setting[at] !== "off");

  function phasesAt(time) {
    const on = flashers();
    return controls.map((_, at) => {
      const place = on.indexOf(at);
      if (place < 0) return "";
      const isClosed = on.length === 1 ? time % 2 === 0 : (time + 4 - (place % 2)) % 4 < 2;
      return isClosed ? "closed" : "open";
    });
  }

  /** The number of the state at a beat; two flashers pass all four of their phases, more go in step with these. */
  const stateAt = (time) => numberOf.get(keyOf(setting, phasesAt(time)));

  /** The states the present setting goes through while its flashers run. */
  function round() {
    const beats = flashers().length === 0 ? [0] : flashers().length === 1 ? [0, 1] : [0, 1, 2, 3];
    return [...new Set(beats.map(stateAt))];
  }

  function show() {
    const at = stateAt(beat);
    const design = designs[chosen];
    bench.dataset.state = at;
    showLamps(design, design.states[at]);
    showDrawing(sheets[chosen], design, design.states[at], states[at]);
    showRows(sheets[chosen], at);
    showPhase();
  }

  function showLamps(design, state) {
    state.lamps.forEach(([does, glow, volts, amps, asked], place) => {
      const row = one(`.lamps tr[data-lamp="${CSS.escape(design.lamps[place])}"]`);
      one(".word", row).textContent = does;
      one(".bulb", row).style.setProperty("--glow", glow);
      one(".volts", row).textContent = volts;
      one(".amps", row).textContent = amps;
      one(".asked", row).textContent = asked || "nothing";
    });
  }

  function showDrawing(sheet, design, state, { closed }) {
    const partOf = (ref) => one(`.part[data-ref="${CSS.escape(ref)}"]`, sheet);
    state.lamps.forEach(([, glow], place) => {
      const part = partOf(design.lamps[place]);
      one(".glow", part).setAttribute("opacity", glow);
      part.classList.toggle("bright", glow > 0.4);
    });
    state.parts.forEach(([way, amps], place) => {
      const part = partOf(design.parts[place]);
      const arrow = one(".arrow", part);
      arrow.classList.toggle("reversed", way < 0);
      if (way) arrow.removeAttribute("display");
      else arrow.setAttribute("display", "none");
      one(".amps", part).textContent = amps;
      part.classList.toggle("carries", way !== 0);
    });
    const heldOf = new Map(design.nodes.map((node, place) => [node, state.nodes[place]]));
    for (const net of all(".net", sheet)) {
      const [, held] = heldOf.get(net.dataset.node) || ["", "open"];
      net.classList.toggle("fed", held === "live");
    }
    for (const feed of all(".feed", sheet)) {
      const isClosed = closed.some(([control, a, b]) => control === feed.dataset.label && [a, b].includes(feed.dataset.node));
      one(".blade.open", feed)?.setAttribute("display", isClosed ? "none" : "inline");
      one(".blade.closed", feed)?.setAttribute("display", isClosed ? "inline" : "none");
    }
  }

  function showRows(sheet, at) {
    const among = (element, numbers) => element.dataset.states.split(" ").some((number) => numbers.includes(Number(number)));
    const numbers = round();
    for (const row of all(".states tbody tr", sheet)) {
      row.classList.toggle("current", among(row, [at]));
      if (among(row, [at])) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
    const every = one(".all-scenes", sheet).getAttribute("aria-pressed") === "true";
    for (const text of all(".scoped", sheet)) {
      text.classList.toggle("current", among(text, [at]));
      text.classList.toggle("aside", !every && !among(text, numbers));
    }
  }

  function showPhase() {
    const on = flashers();
    if (!runButton) return;
    runButton.disabled = stepButton.disabled = on.length === 0;
    runButton.textContent = running ? "Pause" : "Run";
    const phases = phasesAt(beat);
    const said = on.map((at) => (on.length > 1 ? `${controls[at].name} ${phases[at]}` : `contact ${phases[at]}`));
    one(".pulse .phase").textContent = on.length ? `Flasher: ${said.join(", ")}` : "Flasher off";
    one(".pulse .beacon").classList.toggle("closed", on.some((at) => phases[at] === "closed"));
  }

  /** Say in words what every lamp does: now, or while the flashers run, from phase to phase. */
  function announce() {
    const design = designs[chosen];
    const numbers = running ? round() : [stateAt(beat)];
    const phaseOf = (number) => {
      const named = controls.flatMap((control, at) => (states[number].phases[at] ? [[control.name, states[number].phases[at]]] : []));
      return named.map(([name, phase]) => (named.length > 1 ? `${name} ${phase}` : phase)).join(" and ");
    };
    const lamps = design.lamps.map((lamp, place) => {
      const does = new Map();
      for (const number of numbers) {
        const said = design.states[number].lamps[place][0];
        does.set(said, [...(does.get(said) || []), phaseOf(number)]);
      }
      if (does.size === 1) return `${lamp} ${[...does.keys()][0]}`;
      return `${lamp} ${[...does].map(([said, phases]) => `${said} while ${phases.join(" or ")}`).join(", ")}`;
    });
    const worked = controls.map((control, at) => `${control.name} ${setting[at]}`).join(", ");
    const phase = !running && flashers().length ? ` (${phaseOf(stateAt(beat))})` : "";
    one(".said").textContent = `With ${worked}${phase}: ${lamps.join("; ")}.`;
  }

  function tick() {
    timer = 0;
    if (!running || flashers().length === 0) return;
    timer = window.setTimeout(() => {
      beat = (beat + 1) % 4;
      show();
      tick();
    }, flashers().length === 1 ? HALF_BEAT : QUARTER_BEAT);
  }

  function run(wanted) {
    running = wanted;
    window.clearTimeout(timer);
    tick();
    show();
    announce();
  }

  function work(at, position) {
    const wasOff = flashers().length === 0;
    setting[at] = position;
    one(`input[name="control-${at}"][value="${controls[at].positions.indexOf(position)}"]`).checked = true;
    if (wasOff || flashers().length === 0) beat = 0;
    const starts = wasOff && flashers().length > 0;
    run(flashers().length > 0 && (starts ? !stillness.matches : running));
  }

  function choose(rank) {
    chosen = Math.max(0, designs.findIndex((design) => design.rank === rank));
    sheets.forEach((sheet, place) => { sheet.hidden = place !== chosen; });
    for (const row of all(".designs tbody tr")) {
      const isChosen = Number(row.dataset.rank) === designs[chosen].rank;
      row.classList.toggle("current", isChosen);
      one(".shown", row).hidden = !isChosen;
      const link = one(".choose", row);
      if (isChosen) link.setAttribute("aria-current", "true");
      else link?.removeAttribute("aria-current");
    }
    show();
    announce();
  }

  controls.forEach((control, at) => {
    all(`input[name="control-${at}"]`).forEach((input) => {
      input.addEventListener("change", () => work(at, control.positions[Number(input.value)]));
    });
    one(`input[name="control-${at}"][value="${control.positions.indexOf(setting[at])}"]`).checked = true;
  });
  for (const feed of all(".feed")) {
    const at = controls.findIndex((control) => control.name === feed.dataset.label);
    if (at < 0) continue;
    feed.classList.add("works");
    feed.addEventListener("click", () => {
      const { positions } = controls[at];
      work(at, positions[(positions.indexOf(setting[at]) + 1) % positions.length]);
    });
  }
  for (const link of all(".choose")) {
    link.addEventListener("click", () => choose(Number(link.dataset.rank)));
  }
  for (const button of all(".all-scenes")) {
    button.addEventListener("click", () => {
      const pressed = button.getAttribute("aria-pressed") !== "true";
      for (const other of all(".all-scenes")) other.setAttribute("aria-pressed", String(pressed));
      show();
    });
  }
  runButton?.addEventListener("click", () => run(!running));
  stepButton?.addEventListener("click", () => {
    beat = (beat + 1) % 4;
    run(false);
  });
  stillness.addEventListener("change", () => { if (stillness.matches) run(false); });

  beat = Math.max(0, [0, 1, 2, 3].findIndex((time) => states[stateAt(time)] === start));
  one(".live", bench).hidden = false;
  all(".scene-choice").forEach((line) => { line.hidden = false; });
  document.documentElement.classList.add("answers");
  choose(Number(location.hash.replace("#design-", "")) || designs[0].rank);
})();
