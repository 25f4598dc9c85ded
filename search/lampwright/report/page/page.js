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
  const keyOf = (setting, phases) => JSON.stringify([setting, phases]);
  const numberOf = new Map(states.map((state, at) => [keyOf(state.setting, state.phases), at]));
  const picker = document.getElementById("fault");

  const start = states[Number(bench.dataset.start)];
  const setting = [...start.setting];
  let closed = start.phases.filter((phase) => phase).map((phase) => phase === "closed");
  let running = false;
  let timer = 0;
  let chosen = 0;
  let fault = null;

  const flashers = () => controls.map((control, at) => at).filter((at) => controls[at].kind === "flasher" && setting[at] !== "off");

  /** All phases of so many flashers, each but one contact from the last; true is closed. */
  function everyPhase(count) {
    if (count === 0) return [[]];
    const less = everyPhase(count - 1);
    const turned = [...less].reverse();
    return [...less.map((one) => [true, ...one]), ...turned.map((one) => [false, ...one])];
  }

  /** The phases that running flashers pass: all of one or two; of more, those a sixth of a flash apart. */
  function passed(count) {
    if (count < 3) return everyPhase(count);
    return [0, 1, 2, 3, 4, 5].map((time) => [...Array(count).keys()].map((at) => (time + 6 - (at % 3)) % 6 < 3));
  }

  // 90 flashes a minute, half of each closed; several at 60 a minute, so that no lamp changes more than six times a second
  const beatOf = (count) => (count < 2 ? 1000 / 3 : count === 2 ? 1000 / 4 : 1000 / 6);

  function stepIn(cycle) {
    const at = cycle.findIndex((one) => one.every((isClosed, place) => isClosed === closed[place]));
    closed = cycle[(at + 1) % cycle.length];
  }

  function phasesOf(some) {
    const on = flashers();
    return controls.map((_, at) => (on.includes(at) ? (some[on.indexOf(at)] ? "closed" : "open") : ""));
  }

  const stateOf = (some) => numberOf.get(keyOf(setting, phasesOf(some)));
  const stateNow = () => stateOf(closed);

  /** The states of the present setting, in all phases of its flashers. */
  const round = () => [...new Set(everyPhase(flashers().length).map(stateOf))];

  /** What the chosen design reads in a state: under the fault where that alters it, else sound. */
  const readings = (at) => altered(at) ?? designs[chosen].states[at];

  /** What the fault alters in a state, if anything. */
  function altered(at) {
    return fault && at in fault.states ? designs[chosen].altered[fault.states[at]] : null;
  }

  function show() {
    const at = stateNow();
    const design = designs[chosen];
    bench.dataset.state = at;
    showLamps(design, readings(at));
    showDrawing(sheets[chosen], design, readings(at), states[at]);
    showRows(sheets[chosen], at);
    showLines(sheets[chosen], at);
    showFault(sheets[chosen], at);
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
      one(".asked", row).classList.toggle("missed", asked.endsWith(": missed"));
      one(".failed", row).textContent = fault?.parts[design.lamps[place]] ?? "";
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
      const { label, node } = feed.dataset;
      const ways = closed.flatMap(([control, a, b]) => (control === label && [a, b].includes(node) ? [a === node ? b : a] : []));
      const blades = all(".blade.closed", feed);
      for (const blade of blades) blade.setAttribute("display", ways.includes(blade.dataset.to) ? "inline" : "none");
      one(".blade.open", feed)?.setAttribute("display", blades.some((blade) => ways.includes(blade.dataset.to)) ? "none" : "inline");
    }
  }

  /** Mark what has failed in the drawing, and say what that does in the present state. */
  function showFault(sheet, at) {
    const mark = (group, word, isCrossed) => {
      group.classList.toggle("broken", Boolean(word));
      one("text.fault", group).textContent = word ?? "";
      one(".cross", group)?.setAttribute("display", isCrossed ? "inline" : "none");
      one(".jumper", group)?.setAttribute("display", word === "shorted" ? "inline" : "none");
      one(".cut", group)?.setAttribute("display", word && !isCrossed ? "inline" : "none");
    };
    for (const part of all(".part:not(.wire)", sheet)) {
      const { ref } = part.dataset;
      mark(part, fault?.parts[ref], fault?.crossed.includes(ref));
    }
    for (const feed of all(".feed", sheet)) {
      const word = fault?.feeds[feed.dataset.node];
      mark(feed, word, word === "blown");
    }
    for (const jumper of all(".jumper[data-one]", sheet)) {
      const { one: first, other } = jumper.dataset;
      const isBridged = [first, other].every((node) => fault?.feeds[node] === "bridged");
      jumper.setAttribute("display", isBridged ? "inline" : "none");
    }
    for (const text of all(".of-sound, .fault-name", sheet)) text.hidden = !fault;
    one(".fault-name", sheet).textContent = fault ? `Fault: ${fault.name}` : "";
    one(".fault-told", bench).hidden = !fault;
    one(".fault-here", bench).textContent = fault ? altered(at)?.said ?? "Here it changes nothing." : "";
    one(".fault-said", bench).textContent = fault?.said ?? "";
  }

  /** Show the lines of the present setting, one style for each phase, and the figures they stand for. */
  function showLines(sheet, at) {
    const numbers = round().sort((one, other) => one - other);
    for (const line of all(".by-state", sheet)) {
      const own = line.dataset.states.split(" ").map(Number);
      const among = numbers.filter((number) => own.includes(number));
      line.classList.toggle("shown", among.length > 0);
      line.dataset.style = Math.max(0, numbers.indexOf(among[0])) % 4;
      const when = one(".when", line);
      if (when) when.textContent = among.length && among.length < numbers.length ? `While ${among.map(phaseOf).join(" or ")}: ` : "";
    }
    for (const row of all(".figures tbody tr", sheet)) row.classList.toggle("current", row.dataset.states.split(" ").includes(String(at)));
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
    const phases = phasesOf(closed);
    const said = on.map((at) => (on.length > 1 ? `${controls[at].name} ${phases[at]}` : `contact ${phases[at]}`));
    one(".pulse .phase").textContent = on.length ? `Flasher: ${said.join(", ")}` : "Flasher off";
    one(".pulse .beacon").classList.toggle("closed", on.some((at) => phases[at] === "closed"));
  }

  /** A state's phase in words: `closed`; of several flashers, `slow closed and fast open`. */
  function phaseOf(number) {
    const named = controls.flatMap((control, at) => (states[number].phases[at] ? [[control.name, states[number].phases[at]]] : []));
    return named.map(([name, phase]) => (named.length > 1 ? `${name} ${phase}` : phase)).join(" and ");
  }

  /** Say in words what every lamp does: now, or while the flashers run, from phase to phase. */
  function announce() {
    const design = designs[chosen];
    const numbers = running ? [...new Set(passed(flashers().length).map(stateOf))] : [stateNow()];
    const lamps = design.lamps.map((lamp, place) => {
      const does = new Map();
      for (const number of numbers) {
        const said = readings(number).lamps[place][0];
        does.set(said, [...(does.get(said) || []), phaseOf(number)]);
      }
      if (does.size === 1) return `${lamp} ${[...does.keys()][0]}`;
      return `${lamp} ${[...does].map(([said, phases]) => `${said} while ${phases.join(" or ")}`).join(", ")}`;
    });
    const worked = controls.map((control, at) => `${control.name} ${setting[at]}`).join(", ");
    const phase = !running && flashers().length ? ` (${phaseOf(stateNow())})` : "";
    const failed = fault ? `. Fault, ${fault.name}` : "";
    one(".said").textContent = `With ${worked}${phase}${failed}: ${lamps.join("; ")}.`;
  }

  function tick() {
    timer = 0;
    const count = flashers().length;
    if (!running || count === 0) return;
    timer = window.setTimeout(() => {
      stepIn(passed(count));
      show();
      tick();
    }, beatOf(count));
  }

  function run(wanted) {
    running = wanted;
    window.clearTimeout(timer);
    tick();
    show();
    announce();
  }

  function work(at, position) {
    const before = flashers().length;
    setting[at] = position;
    one(`input[name="control-${at}"][value="${controls[at].positions.indexOf(position)}"]`).checked = true;
    const count = flashers().length;
    if (count !== before) [closed] = passed(count);
    const starts = before === 0 && count > 0;
    run(count > 0 && (starts ? !stillness.matches : running));
  }

  function breakAt(number) {
    fault = designs[chosen].faults[number] ?? null;
    picker.value = fault ? String(number) : "";
    show();
    announce();
  }

  /** Offer the faults of the chosen design; the sound circuit first. */
  function offerFaults() {
    const { faults } = designs[chosen];
    const option = (name, value) => {
      const made = document.createElement("option");
      made.textContent = name;
      made.value = value;
      return made;
    };
    picker.replaceChildren(option("no fault", ""), ...faults.map((one, number) => option(one.name, number)));
    one(".fault", bench).hidden = !designs.some((design) => design.faults.length);
    picker.disabled = faults.length === 0;
    fault = null;
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
    offerFaults();
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
  /** A click on what a fault is named after brings it about, and a second one mends it. */
  for (const target of all(".part:not(.wire), .feed [data-fuse]")) {
    const { ref, fuse } = target.dataset;
    const { faults } = designs[sheets.indexOf(target.closest(".sheet"))];
    const number = faults.findIndex((one) => (fuse ? one.feeds[fuse] === "blown" : one.crossed.length === 1 && one.parts[ref] === "open"));
    if (number < 0) continue;
    target.classList.add("breaks");
    target.addEventListener("click", (event) => {
      event.stopPropagation();
      breakAt(fault === designs[chosen].faults[number] ? -1 : number);
    });
  }
  picker.addEventListener("change", () => breakAt(picker.value === "" ? -1 : Number(picker.value)));
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
    stepIn(everyPhase(flashers().length));
    run(false);
  });
  stillness.addEventListener("change", () => { if (stillness.matches) run(false); });

  one(".live", bench).hidden = false;
  all(".scene-choice").forEach((line) => { line.hidden = false; });
  document.documentElement.classList.add("answers");
  choose(Number(location.hash.replace("#design-", "")) || designs[0].rank);
})();
