"use strict";
// What is asked of up to three lamps is held against every entry, with the feeds called in any order.
(() => {
  const form = document.getElementById("asked");
  const buttons = [...form.querySelectorAll("[data-lamp]")];
  const settings = buttons.filter((one) => one.dataset.lamp === "0").length;
  const feeds = Math.log2(settings);
  const words = document.getElementById("words"), held = document.getElementById("held");
  const found = document.getElementById("found");
  const next = { any: "lit", lit: "off", off: "any" };
  const names = "ABC";

  const orders = (left) => left.length === 0 ? [[]] : left.flatMap((one) => orders(left.filter((other) => other !== one)).map((rest) => [one, ...rest]));
  const renamings = orders([...Array(feeds).keys()]);
  const moved = (setting, to) => to.reduce((sum, feed, at) => sum | ((setting >> at & 1) << feed), 0);
  const image = (mask, to) => {
    let sum = 0;
    for (let at = 0; at < settings; at += 1) if (mask >> at & 1) sum |= 1 << moved(at, to);
    return sum;
  };
  const entries = [...document.querySelectorAll(".entry")].map((element) => ({
    element, functions: element.dataset.functions.split(" ").map(Number), said: element.dataset.words.toLowerCase(),
    holds: element.dataset.holds === "yes", renamed: element.querySelector(".renamed"),
  }));

  const wishes = () => [0, 1, 2].map((lamp) => {
    const masks = { lit: 0, off: 0, any: 0 };
    for (const one of buttons) if (Number(one.dataset.lamp) === lamp) masks[one.dataset.word] |= 1 << Number(one.dataset.setting);
    return masks;
  }).filter((one) => one.lit | one.off);

  // each lamp that is asked something takes a function of its own
  const fits = (asked, functions) => asked.length === 0 || functions.some((one, at) =>
    (one & asked[0].off) === 0 && (one & asked[0].lit) === asked[0].lit && fits(asked.slice(1), functions.filter((_, other) => other !== at)));

  const look = () => {
    const asked = wishes(), text = words.value.trim().toLowerCase();
    let count = 0;
    for (const one of entries) {
      const to = renamings.find((each) => fits(asked.map((wish) => ({ lit: image(wish.lit, each), off: image(wish.off, each) })), one.functions));
      const shown = to !== undefined && one.said.includes(text) && (!held.checked || one.holds);
      one.element.hidden = !shown;
      count += shown;
      const changed = shown ? to.map((feed, at) => feed === at ? "" : `your ${names[at]} is ${names[feed]}`).filter(Boolean) : [];
      one.renamed.hidden = changed.length === 0;
      one.renamed.textContent = changed.length ? `Here ${changed.join(", ")}.` : "";
    }
    const all = asked.length === 0 && !text && !held.checked;
    found.textContent = all ? "" : count === 0 ? form.dataset.none : count === 1 ? "1 behaviour" : `${count} behaviours`;
  };

  const put = (button, word) => { button.dataset.word = word; button.querySelector(".word").textContent = word; };
  for (const button of buttons) button.addEventListener("click", () => { put(button, next[button.dataset.word]); look(); });
  for (const input of [words, held]) input.addEventListener("input", look);
  form.addEventListener("reset", () => { for (const button of buttons) put(button, "any"); setTimeout(look); });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.hidden = false;
})();
