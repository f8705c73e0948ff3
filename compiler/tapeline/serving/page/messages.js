// Mistakes and cautions: in the text, and below it as a list in words, each leading to its place, its page, and ways out.

import { LSPPlugin, setDiagnostics } from "./editor.bundle.js";
import { isStale, on, request, up } from "./connection.js";

const SORTS = { 1: "Mistake", 2: "Caution", 3: "Note", 4: "Note" };
const STYLES = { 1: "error", 2: "warning", 3: "info", 4: "hint" };
const MOST_MENDED = 12;  // messages for which ways out are asked
const RESTED = 300;  // milliseconds without news after which they are asked

const told = new Map();  // uri -> what the server told last
let desk = null;
let offering = 0;

export function startMessages(given) {
    desk = given;
    on("textDocument/publishDiagnostics", (params) => {
        told.set(params.uri, params);
        const text = desk.texts.get(params.uri);
        if (text?.view) mark(text, params);
        list();
    });
}

/** Show again what is known, as when another text is opened. */
export function showMessages(text) {
    const params = told.get(text.uri);
    if (params) mark(text, params);
    list();
}

function mark(text, params) {
    const plugin = LSPPlugin.get(text.view);
    const file = desk.client.workspace.getFile(text.uri);
    if (!plugin || !file || (params.version != null && params.version !== file.version)) return;
    const place = (position) => {
        const line = plugin.syncedDoc.line(Math.min(position.line + 1, plugin.syncedDoc.lines));
        return plugin.unsyncedChanges.mapPos(Math.min(line.from + position.character, line.to));
    };
    const found = params.diagnostics.map((one) => ({
        from: place(one.range.start),
        to: Math.max(place(one.range.start), place(one.range.end)),
        severity: STYLES[one.severity] ?? "error",
        message: `${SORTS[one.severity] ?? "Mistake"} ${one.code ?? ""}: ${one.message}`,
    }));
    text.view.dispatch(setDiagnostics(text.view.state, found));
}

function list() {
    const rows = [...desk.texts.values()].flatMap((text) =>
        (told.get(text.uri)?.diagnostics ?? []).map((one) => ({ text, one })),
    );
    const mistakes = rows.filter(({ one }) => one.severity === 1).length;
    const cautions = rows.length - mistakes;
    const count = (number, word) => (number === 1 ? `1 ${word}` : `${number} ${word}s`);
    const words = [mistakes && count(mistakes, "mistake"), cautions && count(cautions, "caution")].filter(Boolean).join(", ");
    const read = [...desk.texts.keys()].some((uri) => told.has(uri));
    const sentence = words ? `${words}.` : read ? "The text is in order." : "The text is being read.";
    const shown = document.getElementById("messages-count");
    if (shown.textContent !== sentence) shown.textContent = sentence;
    document.getElementById("messages-list").replaceChildren(...rows.map(row));
    desk.counted(mistakes, cautions);
    clearTimeout(offering);
    offering = setTimeout(offerMends, RESTED);
}

function row({ text, one }) {
    const item = document.createElement("li");
    item.className = STYLES[one.severity] ?? "error";
    const place = document.createElement("button");
    place.type = "button";
    place.className = "place";
    const line = one.range.start.line + 1;
    const where = desk.texts.size > 1 ? `${text.name}, line ${line}` : `line ${line}`;
    place.textContent = `${SORTS[one.severity] ?? "Mistake"}, ${where}`;
    place.onclick = () => desk.goTo(text.uri, line, one.range.start.character + 1);
    const words = document.createElement("p");
    words.textContent = one.message;
    item.append(place, words);
    if (one.code && one.codeDescription?.href.startsWith(location.origin)) {
        const link = document.createElement("a");
        link.href = one.codeDescription.href;
        link.target = "_blank";
        link.rel = "noopener noreferrer";
        link.textContent = `What ${one.code} means`;
        item.append(link);
    }
    const ways = document.createElement("span");
    ways.className = "ways";
    item.append(ways);
    item.mend = { text, one, ways };
    return item;
}

/** Ask, when the hand rests, which of the messages can be mended at once, and offer that beside them. */
export async function offerMends() {
    if (!desk.client.serverCapabilities?.codeActionProvider) return;
    for (const item of [...document.querySelectorAll("#messages-list > li")].slice(0, MOST_MENDED)) {
        const { text, one, ways } = item.mend;
        const actions = await mendsAt(text, one.range);
        if (!item.isConnected) return;
        const own = actions.filter((action) => !action.diagnostics || action.diagnostics.some((other) => other.message === one.message));
        ways.replaceChildren(...own.map((action) => wayButton(text, action)));
    }
}

async function mendsAt(text, range) {
    if (!up) return [];
    try {
        desk.client.sync();
        const version = text.version();
        const found = await request("textDocument/codeAction", {
            textDocument: { uri: text.uri },
            range,
            context: { diagnostics: [], triggerKind: 1 },
        });
        return (found ?? []).filter((action) => action.edit).map((action) => ({ ...action, version }));
    } catch (problem) {
        if (up && !isStale(problem)) console.warn(problem.message);
        return [];
    }
}

function wayButton(text, action, after = () => {}) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = action.title;
    button.onclick = () => {
        follow(text, action);
        after();
    };
    return button;
}

function follow(text, action) {
    desk.client.sync();
    if (text.version() !== action.version) {
        desk.say("The text has changed since; look at what is said of it now.");
        return;
    }
    const doc = text.view.state.doc;
    const place = (position) => doc.line(Math.min(position.line + 1, doc.lines)).from + position.character;
    const edits = action.edit.changes?.[text.uri] ?? [];
    text.view.dispatch({
        changes: edits.map((edit) => ({ from: place(edit.range.start), to: place(edit.range.end), insert: edit.newText })),
        userEvent: "input.mend",
    });
    text.view.focus();
    desk.say(`Done: ${action.title}.`);
}

/** Offer the ways out of what is wrong at the cursor, as a list to choose from by arrow keys or pointer. */
export async function mendHere(text) {
    const { head } = text.view.state.selection.main;
    const line = text.view.state.doc.lineAt(head);
    const whole = { start: { line: line.number - 1, character: 0 }, end: { line: line.number - 1, character: line.length } };
    const actions = await mendsAt(text, whole);
    if (!actions.length) {
        desk.say("No way out of this line can be followed at once.");
        return;
    }
    if (actions.length === 1) {
        follow(text, actions[0]);
        return;
    }
    const box = document.createElement("dialog");
    box.className = "choose";
    box.setAttribute("aria-label", "Ways out");
    const buttons = actions.map((action) => wayButton(text, action, () => box.close()));
    box.append(...buttons);
    box.onkeydown = (event) => {
        const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
        if (!step) return;
        event.preventDefault();
        const at = buttons.indexOf(document.activeElement);
        buttons[(at + step + buttons.length) % buttons.length].focus();
    };
    box.onclose = () => {
        box.remove();
        text.view.focus();
    };
    document.body.append(box);
    box.showModal();
}
