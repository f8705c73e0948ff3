"use strict";
/* The proof page in motion.  `view` says which part of the drawing is seen: its middle in millimetres and how many pixels a
   millimetre has.  `kept` is what was pressed, `lit` what is lit now; either is {own, rest, lines, under, words}: strokes
   drawn by a rule and strokes that rest on it, the lines of text the same, and what is said of them. */
(() => {
  const FAR = 1.2; // pixels to the millimetre below which words in the drawing cannot be read
  const REACH = { mouse: 12, pen: 14, touch: 24, keys: 24 }; // pixels
  const STEP = 4; // mm between the places at which a line is looked for
  const SVG = "http://www.w3.org/2000/svg";
  const at = (name) => document.getElementById(name);
  const data = JSON.parse(at("page_data").textContent);
  const sheet = at("sheet"), svg = sheet.querySelector("svg");

  // ------------------------------------------------------------------------------------------- lengths in words
  const plain = (value, decimals) => {
    const fixed = value.toFixed(decimals);
    const text = fixed.includes(".") ? fixed.replace(/0+$/, "").replace(/\.$/, "") : fixed;
    return text === "-0" ? "0" : text;
  };
  const divisor = (a, b) => (b ? divisor(b, a % b) : a);
  function inches(mm) {
    const parts = Math.round((Math.abs(mm) / 25.4) * data.fraction);
    const whole = Math.floor(parts / data.fraction), rest = parts % data.fraction, by = divisor(data.fraction, rest);
    const part = rest ? `${rest / by}/${data.fraction / by}` : "";
    return `${mm < 0 && parts ? "-" : ""}${[whole || !part ? whole : "", part].filter((one) => one !== "").join(" ")} in`;
  }
  function length(mm) {
    if (data.unit === "in") return inches(mm);
    return data.unit === "mm" ? `${plain(mm, 1)} mm` : `${plain(mm / 10, 2)} cm`;
  }
  const spoken = (name) => name.replaceAll("_", " ");

  // --------------------------------------------------------------------------------------- pieces and their lines
  const pieces = [...svg.querySelectorAll("g[data-piece]")].map((group, k) => {
    const name = group.dataset.piece;
    const piece = { name, group, on: true, number: k + 1, title: group.querySelector("title").textContent.split(":")[0], strokes: [] };
    const links = data.links.pieces[name];
    group.querySelectorAll("path").forEach((path, j) => {
      const { line, edge, name: called } = path.dataset;
      const [own, set] = links[j];
      piece.strokes.push({ path, piece, line, name: edge ?? called ?? "", own, under: data.links.sets[set], runs: null });
    });
    piece.box = piece.strokes[0].path.getBBox();
    return piece;
  });
  const strokes = pieces.flatMap((piece) => piece.strokes);
  const named = data.points.map(([piece, title, name, x, y]) => ({ piece: pieces.find((one) => one.name === piece), title, name, x, y }));
  const seen = () => strokes.filter((stroke) => stroke.piece.on);

  /* Runs of places along a line, each [x, y, how far along]; a line in several parts has a run for each. */
  function runs(stroke) {
    if (stroke.runs) return stroke.runs;
    const long = stroke.path.getTotalLength(), count = Math.min(500, Math.max(1, Math.ceil(long / STEP)));
    stroke.long = long;
    stroke.runs = [[]];
    let last = null;
    for (let k = 0; k <= count; k++) {
      const { x, y } = stroke.path.getPointAtLength((long * k) / count);
      if (last && Math.hypot(x - last[0], y - last[1]) > (1.01 * long) / count + 1e-3) stroke.runs.push([]);
      last = [x, y, (long * k) / count];
      stroke.runs.at(-1).push(last);
    }
    return stroke.runs;
  }

  /* The nearest place on any line that is seen: {stroke, x, y, along, off}, or null beyond `reach` mm. */
  function nearest(p, reach, among = seen()) {
    let best = null;
    for (const stroke of among) {
      const box = (stroke.box ??= stroke.path.getBBox());
      if (p.x < box.x - reach || p.y < box.y - reach || p.x > box.x + box.width + reach || p.y > box.y + box.height + reach) continue;
      for (const run of runs(stroke)) {
        for (let k = 1; k < run.length; k++) {
          const [ax, ay, from] = run[k - 1], [bx, by, to] = run[k];
          const square = (bx - ax) ** 2 + (by - ay) ** 2;
          const t = square ? Math.min(1, Math.max(0, ((p.x - ax) * (bx - ax) + (p.y - ay) * (by - ay)) / square)) : 0;
          const x = ax + t * (bx - ax), y = ay + t * (by - ay), off = Math.hypot(x - p.x, y - p.y);
          if (off <= reach && (!best || off < best.off - 1e-9)) best = { stroke, x, y, along: from + t * (to - from), off };
        }
      }
    }
    return best;
  }

  /* Where a measure is set: a named point or the end of a line close by, else the nearest place on a line, else just there. */
  function snapped(p, reach) {
    let best = null;
    const offer = (x, y, words) => {
      const off = Math.hypot(x - p.x, y - p.y);
      if (off <= reach && (!best || off < best.off - 1e-6)) best = { x, y, off, words };
    };
    for (const point of named) if (point.piece.on) offer(point.x, point.y, `${point.title}, ${point.name}`);
    if (best) return best;
    for (const stroke of seen()) for (const run of runs(stroke)) for (const end of [run[0], run.at(-1)]) offer(end[0], end[1], `${said(stroke)}, end`);
    if (best) return best;
    const on = nearest(p, reach);
    return on ? { x: on.x, y: on.y, words: said(on.stroke) } : { ...p, words: "" };
  }

  // --------------------------------------------------------------------------------------------------- the view
  const view = { x: 0, y: 0, scale: 1 };
  let fitted = true;
  const marks = svg.appendChild(document.createElementNS(SVG, "g"));
  marks.id = "page_marks";
  marks.setAttribute("aria-hidden", "true");
  const cross = sheet.appendChild(Object.assign(document.createElement("span"), { className: "cross" }));
  const hint = sheet.appendChild(Object.assign(document.createElement("p"), { className: "hint", hidden: true }));
  for (const one of [cross, hint]) one.setAttribute("aria-hidden", "true");
  svg.removeAttribute("width");
  svg.removeAttribute("height");

  function around(boxes) {
    const left = Math.min(...boxes.map((box) => box.x)), top = Math.min(...boxes.map((box) => box.y));
    const right = Math.max(...boxes.map((box) => box.x + box.width)), low = Math.max(...boxes.map((box) => box.y + box.height));
    return { x: left, y: top, width: right - left, height: low - top };
  }
  const whole = () => {
    const on = pieces.filter((piece) => piece.on);
    return around((on.length ? on : pieces).map((piece) => piece.box));
  };
  function fit(box, nearer = 0.92) {
    view.scale = nearer * Math.min(sheet.clientWidth / Math.max(box.width, 1), sheet.clientHeight / Math.max(box.height, 1), 40);
    [view.x, view.y] = [box.x + box.width / 2, box.y + box.height / 2];
    show();
  }
  function fitAll() {
    fitted = true;
    fit(whole());
  }
  function show(wide = sheet.clientWidth, high = sheet.clientHeight) {
    const w = wide / view.scale, h = high / view.scale;
    svg.setAttribute("viewBox", `${view.x - w / 2} ${view.y - h / 2} ${w} ${h}`);
    svg.classList.toggle("far", view.scale < FAR);
    sheet.classList.toggle("near", !fitted);
    draw();
  }
  function zoom(by, px = sheet.clientWidth / 2, py = sheet.clientHeight / 2) {
    const before = place(px, py);
    view.scale = Math.min(40, Math.max(0.02, view.scale * by));
    const after = place(px, py);
    [view.x, view.y] = [view.x + before.x - after.x, view.y + before.y - after.y];
    fitted = false;
    show();
  }
  function pan(dx, dy) {
    [view.x, view.y] = [view.x + dx / view.scale, view.y + dy / view.scale];
    fitted = false;
    show();
  }
  const place = (px, py) => ({ x: view.x + (px - sheet.clientWidth / 2) / view.scale, y: view.y + (py - sheet.clientHeight / 2) / view.scale });
  const pixel = (event) => {
    const box = svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };

  // ------------------------------------------------------------------- what is drawn over the drawing: names, measures
  let ends = [];
  function add(kind, attributes, words) {
    const element = marks.appendChild(document.createElementNS(SVG, kind));
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    if (words) element.textContent = words;
    return element;
  }
  function draw() {
    marks.replaceChildren();
    const px = 1 / view.scale;
    if (view.scale < FAR) {
      for (const piece of pieces.filter((one) => one.on)) {
        const middle = { x: piece.box.x + piece.box.width / 2, y: piece.box.y + piece.box.height / 2 + 5 * px };
        const look = { class: "tag", "font-size": 14 * px, "text-anchor": "middle", "stroke-width": 4 * px };
        const tag = add("text", { ...middle, ...look }, `${piece.number}. ${piece.title}`);
        if (tag.getComputedTextLength() > 0.75 * piece.box.width) tag.textContent = piece.number;
      }
    }
    for (const { x, y } of ends) add("path", { d: `M${x - 7 * px} ${y}h${14 * px}M${x} ${y - 7 * px}v${14 * px}`, class: "end" });
    if (ends.length === 2) {
      const [p, q] = ends;
      add("path", { d: `M${p.x} ${p.y}L${q.x} ${q.y}`, class: "span" });
      const middle = { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 - 8 * px };
      add("text", { ...middle, class: "tag", "font-size": 16 * px, "text-anchor": "middle", "stroke-width": 5 * px }, length(Math.hypot(q.x - p.x, q.y - p.y)));
    }
  }

  // ------------------------------------------------------------------------------------------- lines and rules lit
  let kept = null, lit = null;
  const said = (stroke) => `${stroke.piece.title}, ${spoken(stroke.name) || "a sign"}`;
  const some = (count, one, more) => (count === 1 ? `one ${one}` : `${count} ${more}`);
  const rule = (id) => at(id)?.dataset.rule ?? "";

  function ofStroke(stroke) {
    runs(stroke);
    const words = [`${said(stroke)}: ${data.lines[stroke.line] || stroke.line}, drawn ${length(stroke.long)} long.`];
    if (stroke.own) words.push(`Rule ${rule(stroke.own)}, \u201c${at(stroke.own).querySelector("code").textContent.trim().replace(/\s+/g, " ")}\u201d.`);
    if (stroke.under.length) words.push(`${some(stroke.under.length, "more line of the style has", "more lines of the style have")} a part in where it lies.`);
    return { own: [stroke], rest: [], lines: stroke.own ? [stroke.own] : [], under: stroke.under, words: words.join(" ") };
  }
  function ofRule(id) {
    const own = strokes.filter((one) => one.own === id), rest = strokes.filter((one) => one.own !== id && one.under.includes(id));
    const count = (list) => [...new Set(list.map(said))];
    const drew = count(own), held = count(rest).filter((one) => !drew.includes(one));
    const words = [`${rule(id)} ${drew.length ? `drew ${drew.slice(0, 8).join("; ")}${drew.length > 8 ? `; and ${drew.length - 8} more` : ""}` : "draws no line of its own"}.`];
    if (held.length) words.push(`${held.length} ${drew.length ? "more " : ""}${held.length === 1 ? "line of the drawing rests" : "lines of the drawing rest"} on it.`);
    const off = [...new Set([...own, ...rest].map((one) => one.piece))].filter((piece) => !piece.on);
    if (off.length) words.push(`Switched off: ${off.map((piece) => piece.title).join(", ")}.`);
    return { own, rest, lines: [id], under: [], words: words.join(" ") };
  }
  function ofName(piece, name, edge) {
    const own = strokes.filter((one) => one.piece.name === piece && one.name === name && ("edge" in one.path.dataset) === edge);
    const first = own.find((one) => one.line !== "notch") ?? own[0]; // a dart's notches bear its name, but its edge drew them
    return first ? { ...ofStroke(first), own } : null;
  }
  function light(what) {
    if (what === lit) return;
    for (const element of document.querySelectorAll(".own, .rest")) element.classList.remove("own", "rest");
    lit = what;
    if (!what) return;
    for (const stroke of what.own) stroke.path.classList.add("own");
    for (const stroke of what.rest) stroke.path.classList.add("rest");
    for (const id of what.lines) at(id)?.classList.add("own");
    for (const id of what.under) at(id)?.classList.add("rest");
  }
  function keep(what, id = "") {
    kept = what;
    light(what);
    for (const button of document.querySelectorAll("#rules [aria-pressed]")) button.setAttribute("aria-pressed", String(button.parentElement.id === id && !!what));
    tell(what ? what.words : "");
    at("to_rule").hidden = !what?.lines.length;
    if (what?.lines.length) at("to_rule").href = `#${what.lines[0]}`;
    at("to_drawing").hidden = !what?.own.length && !what?.rest.length;
    if (what?.lines.length) bring(what.lines[0]);
  }
  function tell(words) {
    at("told").textContent = words;
    at("bar").classList.toggle("says", !!words);
    at("let_go").hidden = !words;
  }
  function point(what, words = what?.words ?? "") {
    light(what ?? kept);
    hint.textContent = words;
    hint.hidden = !words;
  }
  /* A line of text into sight, where the text scrolls beside the drawing; a page is never scrolled unasked. */
  function bring(id) {
    const row = at(id), pane = at("rules");
    if (!row) return;
    row.closest("details")?.setAttribute("open", "");
    if (getComputedStyle(pane).overflowY !== "auto") return;
    const box = row.getBoundingClientRect(), frame = pane.getBoundingClientRect();
    if (box.top < frame.top + 40 || box.bottom > frame.bottom) pane.scrollTop += box.top - frame.top - frame.height / 3;
  }
  function letGo() {
    ends = [];
    keep(null);
    point(null);
    draw();
  }

  // ---------------------------------------------------------------------------------------------------- measuring
  let measuring = false;
  function measureMode(on) {
    measuring = on;
    at("measure").setAttribute("aria-pressed", String(on));
    sheet.classList.toggle("measuring", on);
    letGo();
    if (on) tell("Measuring: press two points. A point close by, an end or a line is taken exactly.");
  }
  function distance(p, q) {
    const words = [`${length(Math.hypot(q.x - p.x, q.y - p.y))} straight; ${length(Math.abs(q.x - p.x))} across, ${length(Math.abs(q.y - p.y))} down`];
    for (const stroke of seen().filter((one) => one.line !== "cut")) {
      const [a, b] = [p, q].map((end) => nearest(end, 0.2, [stroke]));
      if (!a || !b || runs(stroke).length > 1) continue;
      words.push(`${length(Math.abs(b.along - a.along))} along ${said(stroke)}`);
      break;
    }
    return `${words.join("; ")}.`;
  }
  function take(px, py, reach) {
    const p = place(px, py), near = reach / view.scale;
    if (!measuring) {
      const found = nearest(p, near);
      ends = [];
      keep(found ? ofStroke(found.stroke) : null);
      draw();
      return;
    }
    const end = snapped(p, near);
    ends = ends.length === 1 ? [ends[0], end] : [end];
    draw();
    const words = end.words ? ` at ${end.words}` : "";
    tell(ends.length === 2 ? `Distance ${distance(...ends)} To ${end.words || "a free place"}.` : `First point set${words}. Press the second.`);
  }

  // ------------------------------------------------------------------------------------- hand, wheel, fingers, keys
  const fingers = new Map();
  let moved = false, waiting = false;
  sheet.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    if (!fingers.size) moved = false;
    fingers.set(event.pointerId, event);
    sheet.setPointerCapture(event.pointerId);
  });
  sheet.addEventListener("pointermove", (event) => {
    const last = fingers.get(event.pointerId);
    if (!last) {
      if (waiting || event.pointerType === "touch") return;
      waiting = true;
      requestAnimationFrame(() => {
        waiting = false;
        const found = nearest(place(...pixel(event)), REACH.mouse / view.scale);
        point(found && !measuring ? ofStroke(found.stroke) : null, found && measuring ? said(found.stroke) : undefined);
      });
      return;
    }
    const dx = event.clientX - last.clientX, dy = event.clientY - last.clientY;
    if (!moved && Math.hypot(dx, dy) < 5) return;
    moved = true;
    if (fingers.size === 2) {
      const other = [...fingers.values()].find((one) => one.pointerId !== event.pointerId);
      const gap = (one) => Math.max(1, Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY));
      const [px, py] = pixel({ clientX: (event.clientX + other.clientX) / 2, clientY: (event.clientY + other.clientY) / 2 });
      pan(-dx / 2, -dy / 2);
      zoom(gap(event) / gap(last), px, py);
    } else if (event.pointerType !== "touch" || !fitted) {
      pan(-dx, -dy);
    }
    fingers.set(event.pointerId, event);
  });
  sheet.addEventListener("pointerup", (event) => {
    const known = fingers.delete(event.pointerId);
    if (known && !moved) take(...pixel(event), REACH[event.pointerType] ?? REACH.mouse);
  });
  sheet.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
  sheet.addEventListener("pointerleave", () => point(null));
  sheet.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    zoom(Math.exp(-event.deltaY / 300), ...pixel(event));
  }, { passive: false });
  sheet.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? 8 : 60;
    const middle = [sheet.clientWidth / 2, sheet.clientHeight / 2];
    const keys = {
      ArrowLeft: () => pan(-step, 0), ArrowRight: () => pan(step, 0), ArrowUp: () => pan(0, -step), ArrowDown: () => pan(0, step),
      "+": () => zoom(1.25), "=": () => zoom(1.25), "-": () => zoom(0.8), 0: fitAll, m: () => measureMode(!measuring),
      Enter: () => take(...middle, REACH.keys), " ": () => take(...middle, REACH.keys),
    };
    const act = keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
    if (!event.key.startsWith("Arrow")) return;
    const found = nearest(place(...middle), REACH.keys / view.scale);
    point(found ? ofStroke(found.stroke) : null);
  });
  sheet.addEventListener("blur", () => point(null));
  document.addEventListener("keydown", (event) => event.key === "Escape" && letGo());

  // ------------------------------------------------------------------------------------------ buttons, text, pieces
  at("zoom_in").addEventListener("click", () => zoom(1.5));
  at("zoom_out").addEventListener("click", () => zoom(1 / 1.5));
  at("zoom_fit").addEventListener("click", fitAll);
  at("measure").addEventListener("click", () => measureMode(!measuring));
  at("let_go").addEventListener("click", letGo);
  at("to_drawing").addEventListener("click", () => {
    const all = (lit?.own.length ? lit.own : lit?.rest ?? []).filter((one) => one.piece.on);
    sheet.scrollIntoView({ block: "center" });
    sheet.focus({ preventScroll: true });
    if (!all.length) return;
    fitted = false;
    fit(around(all.map((one) => (one.box ??= one.path.getBBox()))), 0.6);
  });
  for (const button of document.querySelectorAll("#rules li > button")) {
    const id = button.parentElement.id;
    const about = () => point(ofRule(id), "");
    button.addEventListener("click", () => (button.getAttribute("aria-pressed") === "true" ? letGo() : keep(ofRule(id), id)));
    button.addEventListener("pointerenter", about);
    button.addEventListener("focus", about);
    button.addEventListener("pointerleave", () => point(null));
    button.addEventListener("blur", () => point(null));
  }
  for (const button of document.querySelectorAll("button.shows")) {
    const { shows, edgeShown, lineShown } = button.dataset;
    button.addEventListener("click", () => keep(ofName(shows, edgeShown ?? lineShown, edgeShown !== undefined)));
  }
  function goTo(hash) {
    const row = /^#t\d+_\d+$/.test(hash) && at(hash.slice(1));
    if (!row) return false;
    row.closest("details")?.setAttribute("open", "");
    row.scrollIntoView({ block: "center" });
    row.querySelector("button")?.focus({ preventScroll: true });
    return true;
  }
  for (const link of document.querySelectorAll("a.rule, #to_rule")) {
    link.addEventListener("click", (event) => {
      const hash = link.getAttribute("href");
      if (!goTo(hash)) return;
      event.preventDefault();
      history.replaceState(null, "", hash);
      if (link.id !== "to_rule") keep(ofRule(hash.slice(1)), hash.slice(1));
    });
  }
  const switches = new Map([...document.querySelectorAll("[data-switch]")].map((box) => [box.dataset.switch, box]));
  function switched() {
    for (const piece of pieces) {
      piece.on = switches.get(piece.name).checked;
      piece.group.classList.toggle("off", !piece.on);
    }
    ends = [];
    if (fitted) fitAll();
    else draw();
    if (!document.body.classList.contains("started")) return;
    const off = pieces.filter((piece) => !piece.on).map((piece) => piece.title);
    tell(off.length ? `Switched off: ${off.join(", ")}.` : "All pieces are shown.");
  }
  for (const box of switches.values()) box.addEventListener("change", switched);
  for (const button of document.querySelectorAll("[data-only]")) {
    button.addEventListener("click", () => {
      const alone = [...switches].every(([name, box]) => box.checked === (name === button.dataset.only));
      for (const [name, box] of switches) box.checked = alone || name === button.dataset.only;
      fitted = true;
      switched();
    });
  }

  const choosers = [at("from_point"), at("to_point")];
  for (const chooser of choosers) {
    chooser.append(new Option("choose", ""));
    for (const piece of pieces) {
      const group = Object.assign(document.createElement("optgroup"), { label: piece.title });
      named.forEach((one, k) => one.piece === piece && group.append(new Option(one.name, k)));
      if (group.children.length) chooser.append(group);
    }
    chooser.addEventListener("change", () => {
      const [p, q] = choosers.map((one) => named[one.value]);
      ends = [p, q].filter((one) => one);
      draw();
      const apart = p && q && p.piece !== q.piece ? " They lie on two pieces: the distance is as drawn." : "";
      at("by_name_told").textContent = p && q ? distance(p, q) + apart : "";
    });
  }

  // -------------------------------------------------------------------------------------------------- size and print
  new ResizeObserver(() => (fitted ? fitAll() : show())).observe(sheet);
  let before = null;
  addEventListener("beforeprint", () => {
    before ??= { ...view, fitted };
    document.querySelector(".legend").open = true;
    const box = whole();
    const high = 1000 * Math.min(1, box.height / box.width) || 1000;
    [view.x, view.y, view.scale] = [box.x + box.width / 2, box.y + box.height / 2, (0.96 * 1000) / box.width];
    show(1000, high);
    if (box.height > box.width) { // as wide as the page would be too high: the page's height rules
      view.scale = (0.96 * 1000) / box.height;
      show((1000 * box.width) / box.height, 1000);
    }
  });
  addEventListener("afterprint", () => {
    if (!before) return;
    ({ fitted } = before);
    Object.assign(view, before);
    before = null;
    show();
  });
  for (const tool of document.querySelectorAll(".tools, #drawing_help")) tool.hidden = false;
  document.body.classList.add("scripted");
  switched();
  document.body.classList.add("started");
  if (location.hash) goTo(location.hash);
})();
