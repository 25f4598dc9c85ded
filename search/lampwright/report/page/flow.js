"use strict";
// Where current runs in a drawing. The lines are read as conductors, joined where an end of one lies on another; what
// the parts carry is known, and Kirchhoff's law gives the rest, as if every line had the same resistance.
const currentIn = (() => {
  const NEAR = 0.7;
  const LEAST = 0.0008;
  const PERIOD = 12;
  const all = (selector, within) => [...within.querySelectorAll(selector)];

  /** A point through the transforms of its element, up to the drawing. */
  function placed(element, [x, y]) {
    for (let at = element; at && at.tagName !== "svg"; at = at.parentNode) {
      const made = at.transform?.baseVal.consolidate()?.matrix;
      if (made) [x, y] = [made.a * x + made.c * y + made.e, made.b * x + made.d * y + made.f];
    }
    return [x, y];
  }

  /** The open lines of a path: each a list of points, a leap with how it is drawn. */
  function linesOf(element) {
    const lines = [];
    let [x, y] = [0, 0];
    for (const [, letter, rest] of element.getAttribute("d").matchAll(/([MLHVAZmlhvaz])([^MLHVAZmlhvaz]*)/g)) {
      const given = (rest.match(/-?[\d.]+/g) || []).map(Number);
      const from = letter === letter.toLowerCase() ? [x, y] : [0, 0];
      const kind = letter.toUpperCase();
      if (kind === "Z") { lines.pop(); continue; }
      if (kind === "H") x = from[0] + given[0];
      else if (kind === "V") y = from[1] + given[0];
      else [x, y] = [from[0] + given.at(-2), from[1] + given.at(-1)];
      if (kind === "M") lines.push([{ at: placed(element, [x, y]) }]);
      else lines.at(-1).push({ at: placed(element, [x, y]), leap: kind === "A" ? [given[0], given[4]] : null });
    }
    return lines.filter((line) => line.length > 1);
  }

  /** The lines that conduct now: leads, rails, closed blades, fuses that are whole. */
  function conductors(svg) {
    const isOut = (one) => one.closest(".arrow, .cross, .cut, .glow, .flow, defs") || one.getAttribute("display") === "none"
      || one.matches(".blade.open") || one.hasAttribute("stroke-dasharray") || one.closest(".supply .symbol, .supply g[transform]");
    const own = (one) => (one.closest(".part") ? one.matches(".lead") : one.closest(".feed, .net, .supply"));
    return all("path", svg).filter((one) => !isOut(one) && own(one) && !one.closest(".fused.blown .symbol"));
  }

  class Net {
    constructor(svg) {
      this.svg = svg;
      this.points = [];
      this.edges = [];
      this.lines = conductors(svg).map((element) => ({ element, lines: linesOf(element) }));
      const corners = this.lines.flatMap(({ lines }) => lines.flatMap((line) => [line[0].at, line.at(-1).at]));
      for (const { element, lines } of this.lines) for (const line of lines) this.lay(element, line, corners);
      // a ring is a terminal: what ends on it is joined
      for (const ring of all(".feed circle", svg)) {
        const [cx, cy, r] = ["cx", "cy", "r"].map((name) => Number(ring.getAttribute(name)));
        if (ring.getAttribute("fill") !== "none" || r > 6) continue;
        const middle = placed(ring, [cx, cy]);
        const ends = this.points.map((_, n) => n).filter((n) => Math.abs(Math.hypot(...this.from(n, middle)) - r) < NEAR);
        const hub = this.point(middle);
        for (const n of ends) this.join(n, hub, null);
      }
    }

    from(n, [x, y]) { return [this.points[n][0] - x, this.points[n][1] - y]; }

    point(at) {
      const known = this.points.findIndex((_, n) => Math.hypot(...this.from(n, at)) < NEAR);
      return known >= 0 ? known : this.points.push(at) - 1;
    }

    join(a, b, leap) { if (a !== b) this.edges.push({ a, b, leap, amps: 0 }); }

    /** Lay a line, cut wherever an end of another lies on it. */
    lay(element, line, corners) {
      for (let n = 1; n < line.length; n += 1) {
        const [from, to, { leap }] = [line[n - 1].at, line[n].at, line[n]];
        const along = [to[0] - from[0], to[1] - from[1]];
        const long = Math.hypot(...along);
        if (!long) continue;
        const cuts = leap ? [] : corners.map(([x, y]) => [x - from[0], y - from[1]])
          .filter(([x, y]) => Math.abs(x * along[1] - y * along[0]) / long < NEAR)
          .map(([x, y]) => (x * along[0] + y * along[1]) / long ** 2).filter((share) => share * long > NEAR && (1 - share) * long > NEAR);
        const stops = [0, ...cuts.sort((one, other) => one - other), 1].map((share) => this.point([from[0] + share * along[0], from[1] + share * along[1]]));
        for (let at = 1; at < stops.length; at += 1) this.join(stops[at - 1], stops[at], leap);
      }
    }

    /** Number what conducts together. */
    pieces() {
      const piece = this.points.map((_, n) => n);
      const root = (n) => (piece[n] === n ? n : (piece[n] = root(piece[n])));
      for (const { a, b } of this.edges) piece[root(a)] = root(b);
      return this.points.map((_, n) => root(n));
    }

    /** The two ends of a part's leads at its symbol, in the direction of its arrow. */
    through(part) {
      const leads = all(".lead", part).map((lead) => linesOf(lead)[0]).filter(Boolean).map((line) => [line[0].at, line.at(-1).at]);
      if (leads.length < 2) return null;
      const far = ([x, y], [u, v]) => Math.hypot(x - u, y - v);
      const pairs = leads[0].flatMap((one) => leads.at(-1).map((other) => [one, other]));
      const [one, other] = pairs.sort((p, q) => far(...p) - far(...q))[0];
      const arrow = part.querySelector(".arrow").transform.baseVal.consolidate().matrix;
      const ahead = (other[0] - one[0]) * arrow.c + (other[1] - one[1]) * arrow.d >= 0;
      return (ahead ? [one, other] : [other, one]).map((at) => this.point(at));
    }
  }

  /** Solve a small system by elimination. */
  function solved(rows) {
    const size = rows.length;
    for (let n = 0; n < size; n += 1) {
      const best = rows.slice(n).reduce((most, row, at) => (Math.abs(row[n]) > Math.abs(rows[most][n]) ? n + at : most), n);
      [rows[n], rows[best]] = [rows[best], rows[n]];
      if (Math.abs(rows[n][n]) < 1e-9) continue;
      for (let m = n + 1; m < size; m += 1) {
        const share = rows[m][n] / rows[n][n];
        if (share) for (let k = n; k <= size; k += 1) rows[m][k] -= share * rows[n][k];
      }
    }
    const found = Array(size).fill(0);
    for (let n = size - 1; n >= 0; n -= 1) {
      let rest = rows[n][size];
      for (let k = n + 1; k < size; k += 1) rest -= rows[n][k] * found[k];
      found[n] = Math.abs(rows[n][n]) < 1e-9 ? 0 : rest / rows[n][n];
    }
    return found;
  }

  /** Give every conductor its current: known flows go in and out at points, the battery makes up each piece's sum. */
  function settle(net, known, [plus, minus]) {
    const piece = net.pieces();
    const given = Array(net.points.length).fill(0);
    for (const { a, b, amps } of known) { given[a] -= amps; given[b] += amps; }
    const touched = new Set(known.flatMap(({ a, b }) => [a, b]));
    const isEnd = (n) => net.edges.filter(({ a, b }) => a === n || b === n).length === 1 && !touched.has(n);
    for (const name of new Set(piece)) {
      const own = piece.map((other, n) => (other === name ? n : -1)).filter((n) => n >= 0);
      const sum = own.reduce((all, n) => all + given[n], 0);
      // what is away from the battery has a ground of its own, drawn as a line that ends
      const pole = own.includes(plus) ? plus : own.includes(minus) ? minus : own.find(isEnd);
      if (Math.abs(sum) > LEAST / 8 && pole !== undefined) given[pole] -= sum;
    }
    const order = new Map([...new Set(net.edges.flatMap(({ a, b }) => [a, b]))].map((n, at) => [n, at]));
    const rows = [...order.keys()].map((n) => [...Array(order.size).fill(0), given[n]]);
    for (const { a, b } of net.edges) {
      const [one, other] = [order.get(a), order.get(b)];
      rows[one][one] += 1; rows[other][other] += 1; rows[one][other] -= 1; rows[other][one] -= 1;
    }
    for (const [n, at] of order) if (piece[n] === n) rows[at][at] += 1e-6; // pins each piece
    const level = solved(rows);
    for (const edge of net.edges) edge.amps = level[order.get(edge.a)] - level[order.get(edge.b)];
    return piece;
  }

  /** Chains of edges that carry one current, from plus on, each with how far from plus it begins. */
  function chains(edges, points, plus) {
    const run = edges.filter(({ amps }) => Math.abs(amps) > LEAST)
      .map((edge) => (edge.amps > 0 ? edge : { ...edge, a: edge.b, b: edge.a, amps: -edge.amps, leap: edge.leap && [edge.leap[0], 1 - edge.leap[1]] }));
    const leaving = new Map(), coming = new Map();
    for (const edge of run) {
      leaving.set(edge.a, [...(leaving.get(edge.a) || []), edge]);
      coming.set(edge.b, [...(coming.get(edge.b) || []), edge]);
    }
    const isThrough = (n) => leaving.get(n)?.length === 1 && coming.get(n)?.length === 1;
    const long = ({ a, b }) => Math.hypot(points[a][0] - points[b][0], points[a][1] - points[b][1]);
    const far = new Map([[plus, 0]]);
    const found = [];
    const waiting = [...new Set(run.map(({ a }) => a))].filter((n) => !isThrough(n));
    waiting.sort((n, m) => (m === plus) - (n === plus));
    for (let turn = 0; waiting.length && turn < 4 * edges.length; turn += 1) {
      const from = waiting.shift();
      if (!far.has(from) && turn < 2 * edges.length && coming.has(from)) { waiting.push(from); continue; }
      for (const first of leaving.get(from) || []) {
        const chain = [first];
        let reach = (far.get(from) ?? 0) + long(first);
        while (isThrough(chain.at(-1).b)) {
          chain.push(leaving.get(chain.at(-1).b)[0]);
          reach += long(chain.at(-1));
        }
        found.push({ chain, begins: far.get(from) ?? 0 });
        if (!far.has(chain.at(-1).b)) far.set(chain.at(-1).b, reach);
      }
    }
    return found;
  }

  function draw(svg, net, edges, plus) {
    svg.querySelector(".flow")?.remove();
    const space = "http://www.w3.org/2000/svg";
    const group = document.createElementNS(space, "g");
    group.setAttribute("class", "flow");
    for (const { chain, begins } of chains(edges, net.points, plus)) {
      const said = (n) => net.points[n].map((at) => Math.round(at * 10) / 10).join(" ");
      const steps = chain.map(({ b, leap }) => (leap ? `A ${leap[0]} ${leap[0]} 0 0 ${leap[1]} ${said(b)}` : `L ${said(b)}`));
      const path = document.createElementNS(space, "path");
      path.setAttribute("class", "carrying");
      path.setAttribute("d", `M ${said(chain[0].a)} ${steps.join(" ")}`);
      path.dataset.amps = chain[0].amps.toFixed(4);
      path.style.setProperty("--begins", `${(begins % PERIOD).toFixed(1)}px`);
      path.style.strokeWidth = (3 + 2.2 * Math.min(1, Math.sqrt(chain[0].amps / 4))).toFixed(2);
      group.append(path);
    }
    svg.append(group);
    if (svg.closest(".narrow")) svg.append(lifted.get(svg) ?? lift(svg));
  }

  const lifted = new WeakMap();
  let words = 0;

  /** The words of a drawing once more, as they will be, above all lines: in a narrow one they cross rails. */
  function lift(svg) {
    const group = document.createElementNS(svg.namespaceURI, "g");
    group.setAttribute("class", "above");
    for (const text of all("text", svg)) {
      text.id = `word-${(words += 1)}`;
      group.appendChild(document.createElementNS(svg.namespaceURI, "use")).setAttribute("href", `#${text.id}`);
    }
    lifted.set(svg, group);
    return group;
  }

  /**
   * Show in a drawing what is live and what carries. amps: by part, from its `from` to its `to`. bridged: parts that
   * conduct without a lamp's resistance, for they are shorted. joined: pairs of nodes that a fault joins.
   */
  return (svg, { amps, bridged, joined, dead }) => {
    const net = new Net(svg);
    const [up, down] = all(".supply > path", svg).map((one) => net.point(linesOf(one)[0][0].at));
    const parts = all(".part", svg).map((part) => [part.dataset.ref, net.through(part)]).filter(([, ends]) => ends);
    for (const [ref, [a, b]] of parts) if (bridged.includes(ref)) net.join(a, b, null);
    for (const [one, other] of joined) {
      const [a, b] = [one, other].map((node) => svg.querySelector(`.net[data-node="${CSS.escape(node)}"] path`));
      if (a && b) net.join(...[a, b].map((path) => net.point(linesOf(path)[0][0].at)), null);
    }
    const known = parts.filter(([ref, [a, b]]) => amps[ref] && !bridged.includes(ref) && a !== b).map(([ref, [a, b]]) => ({ a, b, amps: amps[ref], leap: null }));
    const piece = settle(net, known, [up, down]);
    for (const { element, lines } of net.lines) element.classList.toggle("live-line", !dead && lines.some((line) => piece[net.point(line[0].at)] === piece[up]));
    draw(svg, net, dead ? [] : [...net.edges, ...known], up);
  };
})();
