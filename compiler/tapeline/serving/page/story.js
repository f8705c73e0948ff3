// The construction of a piece, rule by rule: what is drawn so far thin, what it comes to in the end in dots, what the rule at hand adds heavy and named.

import { follow } from "./links.js";
import { button, draw, inWords, make } from "./making.js";
import { parsed } from "./sheet.js";

let half = null;
let story = null;  // {piece, pieces, stages}
let at = 0;
let parts = null;

export function startStory(given) {
    half = given;
    const open = button("Construct", () => (story ? close() : begin("")), { title: "Step through the construction", ariaPressed: "false" });
    document.getElementById("tools").append(open);
    const piece = make("select", { ariaLabel: "Piece", onchange: () => begin(piece.value) });
    const range = make("input", { type: "range", min: 1, step: 1, ariaLabel: "Stage of the construction", oninput: () => go(Number(range.value) - 1) });
    const words = make("div", { id: "stage", role: "status" });
    const line = make("div", { className: "line" },
        piece, button("Back", () => go(at - 1)), range, button("Forward", () => go(at + 1)), button("In the text", inText), button("Close", close));
    parts = { open, piece, range, words, line };
}

async function begin(piece) {
    const told = await half.ask("construction", { ...half.setting(), ...(piece ? { piece } : {}) });
    if (!told) return;
    const same = story?.piece === told.piece;
    story = told;
    for (const stage of story.stages) stage.group ??= parsed(stage.svg);
    parts.open.ariaPressed = "true";
    parts.piece.replaceChildren(...told.pieces.map((name) => new Option(inWords(name), name)));
    parts.piece.value = told.piece;
    parts.range.max = told.stages.length;
    document.getElementById("story").replaceChildren(parts.line, parts.words);
    half.sheet.svg.classList.add("telling");
    go(same ? at : 0);
    if (!same) {
        half.sheet.fit(box());
        document.getElementById("hand").scrollTop = 0;
    }
}

/** The same stage of the draft as it is now. */
export async function refreshStory() {
    if (story) await begin(story.piece);
}

function close() {
    story = null;
    parts.open.ariaPressed = "false";
    document.getElementById("story").replaceChildren();
    half.sheet.layers.story.replaceChildren();
    half.sheet.svg.classList.remove("telling");
    half.sheet.fit();
    parts.open.focus();
}

function inText() {
    const { file, line } = story.stages[at].rule;
    follow(`${file}:${line}`);
}

function go(to) {
    at = Math.max(0, Math.min(story.stages.length - 1, to));
    parts.range.value = at + 1;
    const stage = story.stages[at];
    let first = at;
    while (first > 0 && !story.stages[first].clears) first -= 1;
    const last = story.stages.findLastIndex((one) => one.clears);
    const whole = story.stages.slice(Math.max(0, last)).map((one) => one.group.cloneNode(true));
    for (const group of whole) group.removeAttribute("class");
    const layers = [draw("g", { class: "whole" }, ...whole)];
    for (let k = first; k <= at; k += 1) {
        const { group, points } = story.stages[k];
        group.setAttribute("class", k === at ? "new" : "old");
        const dots = points.map(([, x, y]) => draw("path", { d: `M ${x} ${y} h 0`, class: `dot ${k === at ? "new" : "old"}`, "vector-effect": "non-scaling-stroke" }));
        layers.push(group, ...dots);
    }
    const size = 12 / half.sheet.view.scale;
    layers.push(...stage.points.filter(([name]) => name).map(([name, x, y]) => draw("text", { x: x + size / 2, y: y - size / 2, "font-size": size }, inWords(name))));
    half.sheet.layers.story.replaceChildren(...layers);
    const names = [...new Set(stage.names)].map(inWords).join(", ");
    parts.range.setAttribute("aria-valuetext", `${at + 1} of ${story.stages.length}: ${stage.words}`);
    parts.words.replaceChildren(
        make("p", {}, `${at + 1} of ${story.stages.length}, ${stage.rule.file} line ${stage.rule.line}: `, make("code", {}, stage.words)),
        ...(names ? [make("p", {}, `New: ${names}.`)] : []),
        ...stage.sums.map((sum) => make("p", { className: "sum" }, sum)),
    );
}

/** Where the whole construction lies, with room about it. */
function box() {
    half.sheet.layers.story.replaceChildren(...story.stages.map((stage) => stage.group));
    const { x, y, width, height } = half.sheet.layers.story.getBBox();
    go(at);
    const room = 0.08 * Math.max(width, height, 10);
    return [x - room, y - room, x + width + room, y + height + room];
}
