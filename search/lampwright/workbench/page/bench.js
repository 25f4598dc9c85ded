// What is clicked and typed goes to the program; what it answers is put in place. Nothing is worked out here.
const byId = (id) => document.getElementById(id);
const last = new Map();
let waiting = Promise.resolve();
let sheetShown = "";
let newest = 0;
let isPressed = false;
let heldBack = null;

/** Put the parts that changed in their place, unless newer ones were; the focus, and what is being typed, stay. */
function put(told) {
  const { parts, number } = told;
  if (number < newest) return;
  // a button that is replaced between press and release would never be clicked
  if (isPressed) {
    heldBack = told;
    return;
  }
  newest = number;
  const focused = document.activeElement;
  const held = focused?.id && focused !== document.body ? { id: focused.id, near: nearOf(focused), from: focused.selectionStart, to: focused.selectionEnd } : null;
  const typed = held && "value" in focused && focused.tagName !== "SELECT" && focused.type !== "checkbox" && focused.value !== focused.defaultValue && !focused.dataset.sent ? focused.value : null;
  const open = [...document.querySelectorAll("details[open]")].map((one) => one.querySelector("summary").textContent);
  const drafts = new Map([...document.querySelectorAll("form[data-do] :is(input:not([type=hidden]), textarea, select)")].filter((one) => one.id && one.dataset.draft).map((one) => [one.id, one.value]));
  const choices = [...document.querySelectorAll("form[data-do] input[name=pick]:checked")].map((one) => one.value);
  const seen = byId("board")?.parentElement.scrollLeft ?? 0;
  for (const [id, html] of Object.entries(parts)) {
    if (last.get(id) === html) continue;
    last.set(id, html);
    byId(id).innerHTML = html;
  }
  for (const summary of document.querySelectorAll("details > summary")) if (open.includes(summary.textContent)) summary.parentElement.open = true;
  for (const [id, value] of drafts) {
    const one = byId(id);
    if (!one) continue;
    one.value = value;
    one.dataset.draft = "yes";
    if (one.tagName === "SELECT") one.dispatchEvent(new Event("input", { bubbles: true }));
  }
  for (const one of document.querySelectorAll("form[data-do] input[name=pick]")) if (choices.includes(one.value)) one.checked = true;
  if (byId("board")) byId("board").parentElement.scrollLeft = seen;
  keepTicks();
  rove();
  if (held && document.activeElement !== byId(held.id)) focusAgain(held, typed);
  else if (held && typed !== null) byId(held.id).value = typed;
  showSheet();
  showOwn();
}

/** The currents and the light of the own circuit, into its drawing. */
function showOwn() {
  const drawing = byId("own-drawing");
  if (!drawing) return;
  const pairs = (text) => text.split("|").filter((one) => one).map((one) => one.split("="));
  const partOf = (ref) => drawing.querySelector(`.part[data-ref="${CSS.escape(ref)}"]`);
  for (const [ref, glow] of pairs(drawing.dataset.lamps)) partOf(ref)?.querySelector(".glow")?.setAttribute("opacity", glow);
  for (const [ref, way, amps] of pairs(drawing.dataset.currents)) {
    const part = partOf(ref);
    if (!part) continue;
    const arrow = part.querySelector(".arrow");
    arrow?.classList.toggle("reversed", Number(way) < 0);
    if (Number(way)) arrow?.removeAttribute("display");
    part.querySelector(".amps").textContent = amps;
  }
  const closed = pairs(drawing.dataset.closed);
  for (const feed of drawing.querySelectorAll(".feed")) {
    const { label, node } = feed.dataset;
    const ways = closed.flatMap(([control, a, b]) => (control === label && [a, b].includes(node) ? [a === node ? b : a] : []));
    feed.querySelector(".blade.open")?.setAttribute("display", ways.length ? "none" : "inline");
    for (const blade of feed.querySelectorAll(".blade.closed")) blade.setAttribute("display", ways.includes(blade.dataset.to) ? "inline" : "none");
  }
  const broken = drawing.dataset.broken && partOf(drawing.dataset.broken);
  if (broken) {
    broken.querySelector(".cross")?.setAttribute("display", "inline");
    broken.querySelector("text.fault").textContent = "open";
  }
}

/** Where the focus goes when what had it is gone: what came before it in its list, or the heading. */
function nearOf(element) {
  const all = [...document.querySelectorAll("button, input:not([type=hidden]), select, textarea, summary")].filter((one) => one.id);
  const at = all.indexOf(element);
  return all.slice(0, at).reverse().map((one) => one.id);
}

function focusAgain(held, typed) {
  const again = byId(held.id) ?? held.near.map(byId).find((one) => one && !one.disabled && one.offsetParent !== null);
  if (!again) return;
  const target = again.disabled ? held.near.map(byId).find((one) => one && !one.disabled && one.offsetParent !== null) ?? again : again;
  target.focus({ preventScroll: true });
  if (target.id !== held.id) return;
  if (typed !== null) target.value = typed;
  try {
    target.setSelectionRange(held.from, held.to);
  } catch {
    // a number's field has no selection
  }
}

/** Do one thing after the other: each is answered before the next is sent. */
function act(change) {
  waiting = waiting.then(() => send(change));
  return waiting;
}

async function send(change) {
  try {
    const answer = await fetch("/do", { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(change), keepalive: JSON.stringify(change).length < 60000 });
    if (!answer.ok) return refuse(await answer.text());
    const told = await answer.json();
    refuse(told.refusal);
    put(told);
    say(change);
    return told.refusal === "";
  } catch {
    byId("gone").hidden = false;
  }
}

function refuse(text) {
  const bar = byId("refusal");
  bar.textContent = text ?? "";
  bar.hidden = !text;
}

function say(change) {
  const cell = change.do === "cell" && document.activeElement?.classList.contains("cell") ? document.activeElement.getAttribute("aria-label") : "";
  const wrong = document.querySelectorAll("#wishes .told").length;
  byId("live").textContent = cell ? `${cell}${wrong ? `. Rows with something to mend: ${wrong}` : ""}` : byId("run").querySelector(".run-said")?.textContent.trim().replace(/\s+/g, " ") ?? "";
}

/** What an element asks for. */
function changeOf(element, value) {
  const { do: doing, name = "", key = "", at = "" } = element.dataset;
  const whole = doing === "cell" && byId("whole-row")?.checked ? "row" : key;
  return { do: doing, name, key: whole, at, value: value ?? element.dataset.value ?? "" };
}

document.addEventListener("pointerdown", () => { isPressed = true; });
for (const kind of ["pointerup", "pointercancel", "dragend"]) {
  document.addEventListener(kind, () => window.setTimeout(() => {
    isPressed = false;
    const told = heldBack;
    heldBack = null;
    if (told) put(told);
  }, 0));
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button || button.disabled) return;
  if (button.dataset.toggle) {
    const panel = byId(button.dataset.toggle);
    panel.hidden = !panel.hidden;
    if (!panel.hidden) panel.querySelector("input, button").focus();
    else byId("do-files").focus();
  } else if (button.dataset.find) {
    const found = document.querySelector(button.dataset.find);
    for (let one = found?.closest("details"); one; one = one.parentElement.closest("details")) one.open = true;
    found?.focus({ preventScroll: true });
    found?.scrollIntoView({ block: "center" });
  } else if (button.dataset.show) {
    choose(byId(button.dataset.show));
    byId(button.dataset.show).focus();
  } else if (button.getAttribute("role") === "tab") {
    choose(button);
  } else if (button.dataset.do && button.type !== "submit") {
    act(changeOf(button)).then((done) => {
      if (done && button.dataset.close) byId(button.dataset.close).hidden = true;
      // to what was added, for one who has no mouse
      if (done && button.dataset.then) byId(button.dataset.then)?.focus();
    });
  }
});

document.addEventListener("change", (event) => {
  const field = event.target;
  if (field.dataset.keep) {
    localStorage.setItem(field.dataset.keep, field.checked);
    keepTicks();
  } else if (field.dataset.do) {
    if (field.tagName === "SELECT" && field.value === "" && ["more", "rank"].includes(field.dataset.key)) return;
    field.dataset.sent = "yes";
    act(changeOf(field, field.type === "checkbox" ? String(field.checked) : field.value));
  }
});

document.addEventListener("input", (event) => {
  const field = event.target;
  delete field.dataset.sent;
  if (field.form?.dataset.do) field.dataset.draft = "yes";
  if (field.dataset.feeds) {
    const option = field.selectedOptions[0];
    const own = byId("new-feed-own");
    own.hidden = option.value !== "";
    field.form.elements.name.value = option.dataset.suggests;
    field.form.elements.key.value = option.dataset.kind;
  }
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  event.preventDefault();
  const of = (name) => form.elements[name]?.value ?? "";
  const change = { do: form.dataset.do, name: of("name"), key: of("key"), at: of("at"), value: of("value") };
  if (form.dataset.do === "control.add" && !change.value) change.value = of("own");
  if (form.dataset.do === "control.plug") change.value = [...form.querySelectorAll("input[name=pick]:checked")].map((one) => one.value).join("\n");
  if (form.dataset.do === "lamp.add") change.key = byId("new-lamp").selectedOptions[0].dataset.filaments;
  if (form.dataset.do === "failure.add") [change.key, change.name] = [of("what").slice(0, of("what").indexOf("=")), of("what").slice(of("what").indexOf("=") + 1)];
  for (const one of form.elements) delete one.dataset.draft;
  act(change).then((done) => {
    if (!done) return;
    if (form.dataset.do === "lamp.add") byId("new-lamp-name").value = "";
    if (form.dataset.do === "save") byId("files").hidden = true;
  });
});

/** Ticks that are the reader's own and no part of the spec. */
function keepTicks() {
  for (const tick of document.querySelectorAll("input[data-keep]")) {
    const kept = localStorage.getItem(tick.dataset.keep);
    if (kept !== null) tick.checked = kept === "true";
  }
  document.documentElement.classList.toggle("blinks", byId("blink")?.checked ?? false);
}

/** One cell of the board is in the order of the tabulator; arrows go to the others. */
let roving = "1,1";
const cells = () => [...document.querySelectorAll("#board .cell")];
function rove() {
  const all = cells();
  if (!all.length) return;
  const own = all.find((one) => one.dataset.cell === roving) ?? all[0];
  for (const one of all) one.tabIndex = one === own ? 0 : -1;
}

document.addEventListener("focusin", (event) => {
  if (event.target.classList?.contains("cell")) {
    roving = event.target.dataset.cell;
    rove();
  }
});

const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
const words = () => JSON.parse(byId("board").dataset.words);

document.addEventListener("keydown", (event) => {
  const isText = event.target.matches("textarea, input:not([type=checkbox])");
  if ((event.ctrlKey || event.metaKey) && !event.altKey) {
    const key = event.key.toLowerCase();
    if (key === "s") {
      event.preventDefault();
      if (isText) event.target.blur();
      const save = byId("do-save");
      if (save) act({ do: "save", name: "", key: "", at: "", value: "" });
      else byId("do-files").click();
    } else if ((key === "z" || key === "y") && !isText) {
      event.preventDefault();
      const own = event.target.closest("#pane-own") ? "own." : "";
      act({ do: own + (key === "y" || event.shiftKey ? "redo" : "undo"), name: "", key: "", at: "", value: "" });
    }
    return;
  }
  if (event.altKey) return;
  if (event.target.getAttribute("role") === "tab" && ["ArrowLeft", "ArrowRight", "Home", "End"].includes(event.key)) {
    const tabs = [...document.querySelectorAll("[role=tab]")];
    const step = event.key === "ArrowRight" ? 1 : event.key === "ArrowLeft" ? -1 : 0;
    const at = event.key === "Home" ? 0 : event.key === "End" ? tabs.length - 1 : (tabs.indexOf(event.target) + step + tabs.length) % tabs.length;
    choose(tabs[at]);
    tabs[at].focus();
    event.preventDefault();
    return;
  }
  const cell = event.target.closest?.(".cell");
  if (!cell) return;
  if (STEPS[event.key]) {
    const [row, column] = cell.dataset.cell.split(",").map(Number);
    const [down, right] = STEPS[event.key];
    const next = document.querySelector(`#board .cell[data-cell="${row + down},${column + right}"]`);
    next?.focus();
    event.preventDefault();
  } else if (words()[event.key]) {
    act(changeOf(cell, words()[event.key]));
    event.preventDefault();
  }
});

function choose(tab) {
  for (const one of document.querySelectorAll("[role=tab]")) {
    const isOn = one === tab;
    one.setAttribute("aria-selected", String(isOn));
    one.tabIndex = isOn ? 0 : -1;
    byId(one.getAttribute("aria-controls")).hidden = !isOn;
  }
}

/** The sheet of the answer: loaded when there is a new one, and as high as what stands in it. */
function showSheet() {
  const frame = byId("sheet");
  const told = document.querySelector("#answer-head [data-sheet]")?.dataset.sheet ?? "";
  const key = told.slice(told.indexOf(" "));
  frame.hidden = !told;
  if (key === sheetShown) return;
  sheetShown = key;
  if (told) frame.src = `/answer?of=${encodeURIComponent(key)}`;
  else frame.removeAttribute("src");
}
byId("sheet").addEventListener("load", () => {
  const frame = byId("sheet");
  const inside = frame.contentDocument?.documentElement;
  if (!inside) return;
  const fit = () => { frame.style.height = `${Math.max(200, inside.querySelector("body").scrollHeight + 24)}px`; };
  new ResizeObserver(fit).observe(inside.querySelector("body"));
  fit();
});

/** What is still being typed when the page goes is sent off. */
window.addEventListener("pagehide", () => {
  const field = document.activeElement;
  if (field?.dataset?.do && "value" in field && field.value !== field.defaultValue && field.tagName !== "SELECT" && field.type !== "checkbox") {
    navigator.sendBeacon("/do", new Blob([JSON.stringify(changeOf(field, field.value))], { type: "application/json" }));
  }
});

const news = new EventSource("/events");
news.addEventListener("message", (event) => put(JSON.parse(event.data)));
news.addEventListener("open", () => {
  byId("gone").hidden = true;
  waiting = waiting.then(async () => put(await (await fetch("/parts")).json())).catch(() => {});
});
news.addEventListener("error", () => { byId("gone").hidden = false; });

for (const id of ["bar", "files", "ask", "wishes", "beside", "bounds", "run", "answer-head", "own", "text"]) last.set(id, null);
keepTicks();
rove();
showSheet();
showOwn();
