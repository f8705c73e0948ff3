// The drawing half put together: what was slid, the draft that follows it, and all that is told of that draft.
//
// One draft is asked for at a time; what is slid meanwhile waits, and only the latest of it is asked for next.  While the hand moves,
// pieces keep their place on the sheet; when it rests everything is laid anew, and ledgers, links and what has moved are asked for.
// A draft that fails leaves the last good drawing, greyed, and says so.

import { isStale, request } from "./connection.js";
import { events, say, state } from "./desk.js";
import { hasMoved, startHeld } from "./held.js";
import { takeLinks, startLinks } from "./links.js";
import { button, make } from "./making.js";
import { takeKinds, startPapers } from "./papers.js";
import { Sheet } from "./sheet.js";
import { startSliders, showSheet, takeShown } from "./sliders.js";
import { refreshStory, startStory } from "./story.js";

const RESTED = 250;  // milliseconds without a move after which the hand rests
const part = (id) => document.getElementById(id);
const values = { measures: {}, choices: {} };  // what was slid
let waiting = null;
let flying = false;
let timer = 0;
let round = 0;  // of drafts asked for, so that what is told of an older one is dropped

/** What a method is asked of: the text that is drawn and what was slid. */
const setting = () => ({ uri: state.uri, measures: { ...values.measures }, choices: { ...values.choices } });

/** The server's answer; null where it is stale, or was refused, which is then said. */
async function ask(method, params) {
    try {
        return await request(`tapeline/${method}`, { uri: state.uri, ...params });
    } catch (problem) {
        if (!isStale(problem) && state.up) say(problem.message);
        return null;
    }
}

function draw(resting = false) {
    if (!state.uri || !state.up) return;
    clearTimeout(timer);
    if (!resting) timer = setTimeout(() => draw(true), RESTED);
    waiting = { resting };
    if (!flying) fly();
}

async function fly() {
    flying = true;
    while (waiting) {
        const { resting } = waiting;
        waiting = null;
        const uri = state.uri;
        round += 1;
        const answer = await ask("draft", { ...setting(), have: sheet.have(), resting });
        if (!answer || uri !== state.uri) continue;
        if (answer.shown) takeShown(answer.shown);
        part("drawing").dataset.failed = String(answer.failed);
        part("drawn").textContent = answer.failed
            ? `${sheet.pieces.size ? "This is the last drawing that could be made." : "Nothing can be drawn yet."} ${answer.message}`
            : "";
        showCautions(answer);
        if (answer.failed) continue;
        sheet.take(answer, resting);
        document.dispatchEvent(new CustomEvent("tapeline-drawn", { detail: { resting } }));
        if (resting && !waiting) rest(round);
    }
    flying = false;
}

/** What is told of a draft when the hand rests. */
async function rest(of) {
    for (const [method, take] of [["links", takeLinks], ["ledgers", showLedgers]]) {
        const answer = await ask(method, setting());
        if (of !== round || !answer) return;
        take(answer);
    }
    await hasMoved();
    await refreshStory();
}

function showCautions(answer) {
    if (!answer.cautions) return;
    const rows = answer.cautions.map((one) => make("li", { className: one.severity }, `${one.code}: ${one.title}. ${one.found ?? ""} ${one.suggestion ?? ""}`.trim()));
    part("cautions").replaceChildren(
        ...(rows.length ? [make("h3", {}, answer.failed ? "Why it cannot be drawn" : "Cautions of this draft"), make("ul", {}, ...rows)] : []),
    );
}

function showLedgers({ tables }) {
    part("tables").replaceChildren(
        ...tables.map((table) => {
            const head = make("tr", {}, ...table.heads.map((words) => make("th", { scope: "col" }, words)));
            const rows = table.rows.map((row) =>
                make("tr", {}, ...row.map((words, k) => (k ? make("td", { className: table.figures[k] ? "figure" : "" }, words) : make("th", { scope: "row" }, words)))),
            );
            return make("table", {}, make("caption", {}, table.title), make("thead", {}, head), make("tbody", {}, ...rows));
        }),
    );
}

/** What can be slid, asked anew: for another text, another body, or other rules. */
async function loadSheet() {
    if (!state.uri || !state.up) return;
    const told = await ask("sheet", {});
    if (!told) return;
    for (const [sort, sliders] of [["measures", told.measures], ["choices", told.choices]]) {
        const known = new Map(sliders.map((slider) => [slider.name, slider]));
        for (const name of Object.keys(values[sort])) {
            const slider = known.get(name);
            if (!slider) delete values[sort][name];
            else values[sort][name] = Math.min(Math.max(values[sort][name], slider.low), slider.high);
        }
    }
    showSheet(told);
    takeKinds(told.kinds);
}

async function begin() {
    await loadSheet();
    draw(true);
}

const sheet = new Sheet(part("drawing"));
part("drawing").prepend(make("p", { id: "drawn", role: "status" }));
part("ledgers").append(make("div", { id: "cautions" }), make("div", { id: "tables" }));
part("tools").append(
    button("+", () => sheet.zoom(1.3), { ariaLabel: "Nearer" }),
    button("\u2212", () => sheet.zoom(1 / 1.3), { ariaLabel: "Further" }),
    button("Show all", () => sheet.fit()),
);
const half = { sheet, values, setting, ask, draw };
startLinks(half);
startHeld(half);
startStory(half);
startSliders(half);
startPapers(half);

let drawnUri = "";
events.addEventListener("ready", begin);
events.addEventListener("body", () => {
    values.measures = {};
    begin();
});
events.addEventListener("shown", () => {
    if (!state.up || state.uri === drawnUri) return;
    drawnUri = state.uri;
    values.measures = {};
    values.choices = {};
    sheet.clear();
    begin();
});
events.addEventListener("text", () => draw());
events.addEventListener("rest", begin);
events.addEventListener("disk", begin);
