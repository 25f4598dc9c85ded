// The reader works the controls; this finds the state they make among those in the page and shows it.
(() => {
  document.documentElement.classList.toggle("framed", window.top !== window);
  const told = document.getElementById("bench-data");
  if (!told) return;
  const { controls, states, damages, designs } = JSON.parse(told.textContent);
  const bench = document.getElementById("bench");
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const sheets = all(".sheet");
  const runButton = document.getElementById("run");
  const stepButton = document.getElementById("step");
  const stillness = window.matchMedia("(prefers-reduced-motion: reduce)");
  const small = window.matchMedia("(max-width: 61.99rem)");
  const phone = window.matchMedia("(max-width: 40rem)");
  const keyOf = (setting, phases, damage) => JSON.stringify([setting, phases, damage]);
  const numberOf = new Map(states.map((state, at) => [keyOf(state.setting, state.phases, state.damage), at]));
  const [picker, fitted, volts, voltsSaid] = ["fault", "fitted", "volts", "volts-said"].map((id) => document.getElementById(id));
  const [predictButton, revealButton, presentButton] = ["predict", "reveal", "present"].map((id) => document.getElementById(id));
  const now = one(".at-present", bench);
  const board = one(".board");

  const start = states[Number(bench.dataset.start)];
  const setting = [...start.setting];
  let closed = start.phases.filter((phase) => phase).map((phase) => phase === "closed");
  let running = false;
  let timer = 0;
  let chosen = 0;
  let fault = null;
  let damage = "";
  let variation = null; // another supply or choice of parts: its states, by where they are kept
  let concealed = false;
  let asked = -1; // the lamp whose reasons are marked

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

  const stateOf = (some) => numberOf.get(keyOf(setting, phasesOf(some), damage)) ?? numberOf.get(keyOf(setting, phasesOf(some), ""));
  const stateNow = () => stateOf(closed);

  /** The states of the present setting, in all phases of its flashers. */
  const round = () => [...new Set(everyPhase(flashers().length).map(stateOf))];

  /** What the chosen design reads in a state: as supplied and fitted, under the fault where that alters it. */
  function readings(at) {
    const design = designs[chosen];
    return variation ? design.altered[variation.states[at]] : altered(at) ?? design.states[at];
  }

  /** What the fault alters in a state, if anything. */
  function altered(at) {
    return fault && at in fault.states ? designs[chosen].altered[fault.states[at]] : null;
  }

  /** A state of which nothing is shown, while it is to be predicted. */
  const blank = ({ lamps, parts, nodes }) => ({
    lamps: lamps.map(() => ["?", 0, "", "", "", ""]), parts: parts.map(() => [0, ""]), nodes: nodes.map(() => ["", "open"]),
  });

  function show() {
    const at = stateNow();
    const design = designs[chosen];
    const reading = concealed ? blank(readings(at)) : readings(at);
    bench.dataset.state = at;
    showLamps(design, reading, at);
    for (const svg of all(".drawing svg", sheets[chosen])) showDrawing(svg, design, reading, at);
    showRows(sheets[chosen], at);
    showLines(sheets[chosen], at);
    showFault(sheets[chosen], at);
    showPhase();
  }

  function showLamps(design, state, at) {
    const marks = marksAt(at);
    state.lamps.forEach(([does, glow, volts, amps, asked, thread], place) => {
      const row = one(`.lamps tr[data-lamp="${CSS.escape(design.lamps[place])}"]`);
      one(".word", row).textContent = does;
      one(".thread-said", row).textContent = thread;
      one(".bulb", row).style.setProperty("--glow", glow);
      row.dataset.colour = design.colours[place];
      one(".volts", row).textContent = volts;
      one(".amps", row).textContent = amps;
      one(".asked", row).textContent = asked || (concealed ? "" : "nothing");
      one(".asked", row).classList.toggle("missed", asked.endsWith(": missed"));
      one(".failed", row).textContent = marks.parts[design.lamps[place]] ?? "";
    });
  }

  /** What has failed, and how that is called: by the fault chosen, or as the state itself says. */
  function marksAt(at) {
    if (fault) return fault;
    const { failed, blown, loose } = states[at];
    const names = (some, word) => Object.fromEntries(some.map((name) => [name, word]));
    return { parts: { ...names(failed, "open"), ...names(loose, "no ground") }, feeds: {}, blown, crossed: failed };
  }

  /** Whether a contact hangs on its control's fuse: its own is drawn, or the one above the pole that reaches it. */
  function isFused(feed) {
    const { label, node } = feed.dataset;
    const pole = () => one(`.feed[data-label="${CSS.escape(label)}"][data-node="30"] .blade[data-to="${CSS.escape(node)}"]`, feed.closest("svg"));
    return Boolean(one(".fused", feed) || (!one(".blade", feed) && pole()));
  }

  function showDrawing(svg, design, state, at) {
    const partOf = (ref) => one(`.part[data-ref="${CSS.escape(ref)}"]`, svg);
    const marks = marksAt(at);
    const dead = concealed || state.nodes.every(([, held]) => held !== "live");
    state.lamps.forEach(([, glow, , , , thread], place) => {
      const part = partOf(design.lamps[place]);
      one(".glow", part).setAttribute("opacity", glow);
      one(".glow", part).setAttribute("r", (19 + 15 * glow).toFixed(1));
      part.dataset.colour = design.colours[place];
      part.classList.toggle("bright", glow > 0.6);
      part.classList.toggle("thread", Boolean(thread));
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
    for (const net of all(".net", svg)) net.classList.toggle("fed", (heldOf.get(net.dataset.node) || ["", "open"])[1] === "live");
    for (const name of all("text.terminal", svg)) {
      const volts = one(".volts", name) ?? name.appendChild(document.createElementNS(name.namespaceURI, "tspan"));
      volts.setAttribute("class", "volts");
      volts.textContent = `\u2002${(heldOf.get(name.closest("[data-node]")?.dataset.node) || [""])[0]}`.trimEnd();
    }
    for (const feed of all(".feed", svg)) {
      const { label, node } = feed.dataset;
      const ways = states[at].closed.flatMap(([control, a, b]) => (control === label && [a, b].includes(node) ? [a === node ? b : a] : []));
      const isTo = (blade) => ways.includes(blade.dataset.to);
      const blades = all(".blade.closed", feed);
      one(".blade.open", feed)?.setAttribute("display", blades.some(isTo) ? "none" : "inline");
      for (const blade of blades) blade.setAttribute("display", isTo(blade) ? "inline" : "none");
      for (const fuse of all(".fused", feed)) fuse.classList.toggle("blown", marks.blown.includes(label));
    }
    const amps = Object.fromEntries(state.parts.map(([way, , size], place) => [design.parts[place], way * (size ?? 0)]));
    const bridged = marks.crossed.filter((ref) => marks.parts[ref] === "shorted");
    const across = Object.keys(marks.feeds).filter((node) => marks.feeds[node] === "bridged");
    currentIn(svg, { amps, bridged, joined: across.length === 2 ? [across] : [], dead });
  }

  /** Mark what has failed in the drawing, and say what that does in the present state. */
  function showFault(sheet, at) {
    const marks = marksAt(at);
    const mark = (group, word, isCrossed) => {
      group.classList.toggle("broken", Boolean(word));
      const said = one("text.fault", group);
      if (said) said.textContent = word ?? "";
      one(".cross", group)?.setAttribute("display", isCrossed ? "inline" : "none");
      one(".jumper", group)?.setAttribute("display", word === "shorted" ? "inline" : "none");
      one(".cut", group)?.setAttribute("display", word && !isCrossed ? "inline" : "none");
    };
    for (const part of all(".part:not(.wire)", sheet)) {
      const { ref } = part.dataset;
      mark(part, marks.parts[ref], marks.crossed.includes(ref));
    }
    for (const feed of all(".feed", sheet)) {
      const isBlown = marks.blown.includes(feed.dataset.label) && isFused(feed);
      mark(feed, isBlown ? "blown" : marks.feeds[feed.dataset.node], isBlown);
    }
    for (const jumper of all(".jumper[data-one]", sheet)) {
      const { one: first, other } = jumper.dataset;
      const isBridged = [first, other].every((node) => fault?.feeds[node] === "bridged");
      jumper.setAttribute("display", isBridged ? "inline" : "none");
    }
    const named = fault?.name ?? states[at].damage;
    for (const text of all(".of-sound", sheet)) text.hidden = !fault && !variation;
    one(".fault-name", sheet).hidden = !named && !variation;
    one(".fault-name", sheet).textContent = named ? `${fault ? "Fault" : "Failed"}: ${named}` : variation?.said ?? "";
    one(".fault-told", now).hidden = !fault || concealed;
    one(".fault-here", now).textContent = fault ? altered(at)?.said ?? "Here it changes nothing." : "";
    one(".fault-said", now).textContent = fault?.said ?? "";
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
    const every = one(".all-scenes", sheet)?.getAttribute("aria-pressed") === "true";
    for (const text of all(".scoped", sheet)) {
      text.classList.toggle("current", among(text, [at]));
      text.classList.toggle("aside", !every && !among(text, numbers));
    }
    for (const reason of all("[data-lamps]", sheet)) reason.classList.toggle("reason", reason.dataset.lamps.split(" ").includes(String(asked)) && among(reason.closest(".scene"), [at]));
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
    const failed = fault ? `. Fault, ${fault.name}` : states[stateNow()].damage && `. Failed, ${states[stateNow()].damage}`;
    const varied = variation ? `. ${variation.said}` : "";
    const does = concealed ? "say what each lamp does, then reveal" : lamps.join("; ");
    one(".said").textContent = `With ${worked}${phase}${failed}${varied}: ${does}.`;
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
    running = wanted && !predicting();
    window.clearTimeout(timer);
    tick();
    conceal();
    show();
    announce();
  }

  const predicting = () => predictButton.getAttribute("aria-pressed") === "true";

  /** While one predicts, every new state is hidden until it is revealed. */
  function conceal() {
    concealed = predicting();
    revealButton.hidden = !concealed;
    for (const guess of all(".guess select")) {
      if (concealed) guess.value = "";
      guess.disabled = !concealed;
      delete guess.closest("td").dataset.verdict;
    }
  }

  const CLASSES = { off: "dark", dark: "dark", dim: "dim", between: "dim", lit: "bright", full: "bright" };

  function reveal() {
    concealed = false;
    revealButton.hidden = true;
    show();
    announce();
    let right = 0, asked = 0;
    readings(stateNow()).lamps.forEach(([does], place) => {
      const row = one(`.lamps tr[data-lamp="${CSS.escape(designs[chosen].lamps[place])}"]`);
      const guess = one(".guess select", row);
      guess.disabled = true;
      if (!guess.value) return;
      const isRight = guess.value === (CLASSES[does.split(/[\s\u00a0]/)[0]] ?? "dark");
      guess.closest("td").dataset.verdict = isRight ? "right" : "wrong";
      asked += 1;
      right += isRight;
    });
    if (asked) one(".said").prepend(`${right} of ${asked} right. `);
  }

  /** Tick the buttons of the controls, as the setting has them. */
  function tickButtons() {
    controls.forEach((control, at) => {
      one(`input[name="control-${at}"][value="${control.positions.indexOf(setting[at])}"]`).checked = true;
    });
    if (damages.length) one(`input[name="damage"][value="${damages.indexOf(damage)}"]`).checked = true;
  }

  function work(at, position) {
    const before = flashers().length;
    setting[at] = position;
    const count = flashers().length;
    if (count !== before) [closed] = passed(count);
    // the spec says of some settings alone what a damaged circuit does there: elsewhere it is sound
    if (!numberOf.has(keyOf(setting, phasesOf(closed), damage))) damage = "";
    tickButtons();
    const starts = before === 0 && count > 0;
    run(count > 0 && (starts ? !stillness.matches : running));
  }

  /** Put the switches where a state has them. */
  function go(state) {
    setting.splice(0, setting.length, ...state.setting);
    closed = state.phases.filter((phase) => phase).map((phase) => phase === "closed");
  }

  /** Tell why a lamp does what it does, in some state of these; a second click lets it be. */
  function explain(lamp, numbers) {
    const isNow = numbers.includes(stateNow());
    asked = asked === lamp && isNow ? -1 : lamp;
    if (!isNow) {
      go(states[numbers[0]]);
      damage = states[numbers[0]].damage;
      tickButtons();
    }
    run(false);
    const reason = one(".reason", sheets[chosen]) ?? one(".scene.current", sheets[chosen]);
    if (asked < 0 || !reason) return;
    reason.closest(".scene").focus({ preventScroll: true });
    reason.scrollIntoView({ block: "center", behavior: stillness.matches ? "auto" : "smooth" });
  }

  /** Bring about what has failed; where the spec says nothing of it with these switches, they go where it does. */
  function fail(what) {
    damage = what;
    vary(null);
    if (!numberOf.has(keyOf(setting, phasesOf(closed), damage))) {
      go(states.find((state) => state.damage === damage));
    }
    tickButtons();
    run(running && flashers().length > 0);
  }

  function breakAt(number) {
    vary(null);
    fault = designs[chosen].faults[number] ?? null;
    picker.value = fault ? String(number) : "";
    if (fault) damage = "";
    tickButtons();
    conceal();
    show();
    announce();
  }

  /** Supply the circuit otherwise, or fit it with another choice: one at a time, and without a fault. */
  function vary(other) {
    const { supplies, normal } = designs[chosen];
    variation = other;
    fault = null;
    picker.value = "";
    volts.value = String(supplies.includes(other) ? supplies.indexOf(other) : normal);
    voltsSaid.textContent = supplies[Number(volts.value)]?.said ?? "";
    volts.setAttribute("aria-valuetext", voltsSaid.textContent);
    fitted.value = String(designs[chosen].choices.indexOf(other));
    rename(designs[chosen].choices.includes(other) ? other : null);
  }

  /** Write what is fitted anew into the drawings; null: as the design has it. */
  function rename(choice) {
    for (const text of all("text[data-was]", sheets[chosen])) {
      text.textContent = text.dataset.was;
      delete text.dataset.was;
    }
    for (const [ref, was, instead] of choice?.words ?? []) {
      for (const part of all(`.part[data-ref="${CSS.escape(ref)}"]`, sheets[chosen])) {
        const envelope = all(".envelope", part.closest("svg")).filter((one) => part.dataset.lamp && one.dataset.lamp === part.dataset.lamp);
        for (const text of [part, ...envelope].flatMap((group) => all("text:not(.amps, .fault)", group))) {
          if (text.dataset.was || !was || (text.textContent !== was && !text.textContent.endsWith(` ${was}`))) continue;
          text.dataset.was = text.textContent;
          text.textContent = text.textContent.slice(0, -was.length) + instead;
        }
      }
    }
  }

  const option = (name, value) => {
    const made = document.createElement("option");
    made.textContent = name;
    made.value = value;
    return made;
  };

  /** Offer the faults, supplies and choices of the chosen design; the sound circuit as it is first. */
  function offer() {
    const { faults, supplies, choices } = designs[chosen];
    picker.replaceChildren(option("no fault", ""), ...faults.map((one, number) => option(one.name, number)));
    picker.parentElement.hidden = !designs.some((design) => design.faults.length);
    picker.disabled = faults.length === 0;
    fitted.replaceChildren(option("as drawn", "-1"), ...choices.map((one, number) => option(one.said, number)));
    fitted.parentElement.hidden = choices.length === 0;
    volts.max = String(Math.max(0, supplies.length - 1));
    volts.parentElement.hidden = supplies.length < 2;
    vary(null);
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
    const shown = document.getElementById("shown");
    if (shown) shown.value = String(chosen + 1);
    offer();
    place();
    conceal();
    show();
    announce();
  }

  const presenting = () => document.documentElement.classList.contains("presenting");

  /** On a small screen the controls, and what the lamps do, stand below the drawing, else beside it. */
  function place() {
    const held = bench.contains(document.activeElement) ? document.activeElement : null;
    if (small.matches && !presenting()) one("figure", sheets[chosen]).after(bench);
    else board.prepend(bench);
    held?.focus({ preventScroll: true });
    shape();
  }

  const SCANT = 0.85; // below that the words of the wide drawing are under 11 pixels

  /** Of the two drawings of a circuit show the one that has larger words here; beside the controls always the wide one. */
  function shape() {
    const drawing = one(".drawing", sheets[chosen]);
    const [wide, high, slim, long] = ["--wide", "--high", "--slim", "--long"].map((name) => Number(drawing.style.getPropertyValue(name)));
    const [across, down] = [drawing.clientWidth, drawing.clientHeight];
    const isSlim = presenting()
      ? Math.min(across / slim, down / long) > Math.min(across / wide, down / high)
      : phone.matches || (small.matches && across < SCANT * wide);
    drawing.classList.toggle("slim", isSlim);
  }

  /** The whole drawing as large as the screen. */
  function present(wanted) {
    document.documentElement.classList.toggle("presenting", wanted);
    presentButton.setAttribute("aria-pressed", String(wanted));
    presentButton.textContent = wanted ? "Leave" : "Present";
    if (wanted) document.documentElement.requestFullscreen?.().catch(() => {});
    else if (document.fullscreenElement) document.exitFullscreen();
    place();
    show();
  }

  function predict(wanted) {
    predictButton.setAttribute("aria-pressed", String(wanted));
    document.documentElement.classList.toggle("predicting", wanted);
    run(running);
  }

  controls.forEach((control, at) => {
    all(`input[name="control-${at}"]`).forEach((input) => {
      input.addEventListener("change", () => work(at, control.positions[Number(input.value)]));
    });
  });
  all('input[name="damage"]').forEach((input) => input.addEventListener("change", () => fail(damages[Number(input.value)])));
  tickButtons();
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
    const number = faults.findIndex((one) => (fuse ? one.blown.includes(target.closest(".feed").dataset.label) : one.crossed.length === 1 && one.parts[ref] === "open"));
    if (number < 0) continue;
    target.classList.add("breaks");
    target.addEventListener("click", (event) => {
      event.stopPropagation();
      breakAt(fault === designs[chosen].faults[number] ? -1 : number);
    });
  }
  const varied = (other) => {
    vary(other);
    conceal();
    show();
    announce();
  };
  picker.addEventListener("change", () => breakAt(picker.value === "" ? -1 : Number(picker.value)));
  volts.addEventListener("input", () => {
    const { supplies, normal } = designs[chosen];
    varied(Number(volts.value) === normal ? null : supplies[Number(volts.value)]);
  });
  fitted.addEventListener("change", () => varied(designs[chosen].choices[Number(fitted.value)] ?? null));
  document.getElementById("shown")?.addEventListener("change", (event) => choose(designs[Number(event.target.value) - 1].rank));
  predictButton.addEventListener("click", () => predict(!predicting()));
  revealButton.addEventListener("click", reveal);
  presentButton.addEventListener("click", () => present(!presenting()));
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && presenting()) present(false);
  });
  small.addEventListener("change", place);
  window.addEventListener("resize", shape);
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
  for (const word of all(".why")) {
    const row = word.closest("tr[data-states]");
    word.addEventListener("click", () => explain(Number(word.dataset.lamp), row ? row.dataset.states.split(" ").map(Number) : [stateNow()]));
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
