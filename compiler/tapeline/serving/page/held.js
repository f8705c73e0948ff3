// A draft held to compare against: it stays drawn in thin dashes under the draft of now, and what has moved is marked and listed.

import { state } from "./desk.js";
import { button, draw, inWords, make } from "./making.js";

const list = make("div", { id: "moved", tabIndex: 0, role: "group", ariaLabel: "Moved from the held draft" });
let half = null;
let held = null;  // {setting, version, pieces: name -> group}
let hold = null;

export function startHeld(given) {
    half = given;
    hold = button("Hold", () => (held ? release() : keep()), { title: "Hold this draft, to compare against", ariaPressed: "false" });
    document.getElementById("tools").append(hold);
    document.getElementById("sliders").before(list);
    document.addEventListener("tapeline-drawn", lay);
}

function keep() {
    const groups = [...half.sheet.pieces].map(([name, piece]) => [name, piece.group.cloneNode(true)]);
    for (const [, group] of groups) {
        for (const element of group.querySelectorAll("text, path:not([data-line=cut], [data-line=stitch], [data-line=fold])")) element.remove();
        for (const path of group.querySelectorAll("path")) path.classList.remove("drew", "rests");
        group.removeAttribute("data-at");
    }
    held = { setting: half.setting(), version: state.version, pieces: new Map(groups), shift: {} };
    hold.textContent = "Release";
    hold.ariaPressed = "true";
    list.replaceChildren(make("p", { role: "status" }, "This draft is held. What moves from here is marked and listed."));
    lay();
}

function release() {
    held = null;
    hold.textContent = "Hold";
    hold.ariaPressed = "false";
    list.replaceChildren();
    half.sheet.layers.held.replaceChildren();
    half.sheet.layers.moved.replaceChildren();
}

/** The held pieces under those of now. */
function lay() {
    if (!held) return;
    if (held.setting.uri !== state.uri) return release();
    for (const [name, group] of held.pieces) {
        const piece = half.sheet.pieces.get(name);
        const [dx, dy] = held.shift[name] ?? [0, 0];
        if (piece) group.setAttribute("transform", `translate(${piece.x + dx} ${piece.y + dy})`);
    }
    half.sheet.layers.held.replaceChildren(...[...held.pieces].filter(([name]) => half.sheet.pieces.has(name)).map(([, group]) => group));
    half.sheet.layers.moved.replaceChildren();
}

/** Ask what has moved since; where the text has changed, no place can be told for another. */
export async function hasMoved() {
    if (!held) return;
    const of = held;
    if (held.version !== state.version) {
        list.replaceChildren(make("p", {}, "The text has changed since: both are drawn, but moved places are told only between drafts of one text."));
        return;
    }
    const { uri, ...was } = held.setting;
    const { uri: _, ...now } = half.setting();
    const told = await half.ask("compare", { uri, held: was, now });
    if (!told || of !== held) return;
    held.shift = told.shift;
    lay();
    const marks = told.places.flatMap(({ piece, was: [x, y], by: [dx, dy] }) => {
        const at = half.sheet.pieces.get(piece);
        if (!at) return [];
        const [left, top] = [at.x + x + held.shift[piece][0], at.y + y + held.shift[piece][1]];
        return [
            draw("path", { d: `M ${left} ${top} l ${dx} ${dy}`, class: "way", "vector-effect": "non-scaling-stroke" }),
            draw("path", { d: `M ${left + dx} ${top + dy} h 0`, class: "place", "vector-effect": "non-scaling-stroke" }),
        ];
    });
    half.sheet.layers.moved.replaceChildren(...marks);
    const rows = told.places.map(({ piece, name, words }) => make("li", {}, `${inWords(piece)}, ${inWords(name)}: ${words}`));
    list.replaceChildren(
        make("p", { role: "status" }, rows.length ? `${rows.length === 1 ? "1 place has" : `${rows.length} places have`} moved from the held draft.` : "Nothing has moved from the held draft."),
        make("ul", {}, ...rows),
    );
}
