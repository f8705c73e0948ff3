// The page put together: the connection, the open texts, the frame and what is told.
//
// For the modules of the drawing half:
//   state    {uri, version, body, house, choices, shown, up}: the style that is drawn and its version, the body and house by name,
//            the text in front, whether the server is there
//   events   an EventTarget; each event has the state as it then is:
//            "ready"   the server is there (again) and has all texts     "text"   a text has changed, and the server has it
//            "rest"    nothing was typed for a moment                    "body"   another body or house was chosen
//            "shown"   another text is in front, or another style drawn  "cursor" the cursor is on another line: detail {uri, line}
//            "disk"    files beside the texts have changed               "away"   the server is away
//   goTo(uri, line, column), markLines(uri, lines), say(words)

import { LSPClient } from "./editor.bundle.js";
import { colour } from "./colours.js";
import { connect, isStale, on, onLine, request, up } from "./connection.js";
import { goTo as goToLine, makeEditor, markLines as markIn, ofClient, replaceText } from "./editor.js";
import { FileText, nameTab, tab } from "./files.js";
import { startFrame } from "./frame.js";
import { hint } from "./hints.js";
import { mendHere, offerMends, showMessages, startMessages } from "./messages.js";
import { OpenTexts } from "./texts.js";

export const state = { uri: "", version: 0, body: "", house: "", choices: {}, shown: "", up: false };
export const events = new EventTarget();

const RESTED = 300;  // milliseconds without a change after which the hand rests
const texts = new Map();  // uri -> FileText
const part = (id) => document.getElementById(id);
let files = [];
let said = "";
let counts = "";
let resting = 0;
let syncing = 0;

const client = new LSPClient({
    timeout: 20000,
    workspace: (one) => new OpenTexts(one, async (uri, front) => (await openText(uri, front))?.view ?? null),
    notificationHandlers: {
        "textDocument/publishDiagnostics": () => true,
        "window/showMessage": (_, params) => {
            say(params.message);
            return true;
        },
    },
    unhandledNotification: () => {},
    extensions: [
        ...ofClient,
        {
            clientCapabilities: {
                textDocument: {
                    publishDiagnostics: { versionSupport: true, codeDescriptionSupport: true, relatedInformation: true },
                    codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ["quickfix"] } } },
                    semanticTokens: {
                        requests: { full: true },
                        tokenTypes: [], tokenModifiers: [], formats: ["relative"],
                    },
                    inlayHint: {},
                },
            },
        },
    ],
});
const desk = { texts, client, say, told: tell, counted, openSaved, goTo };

const emit = (name, detail = state) => events.dispatchEvent(new CustomEvent(name, { detail }));

/** Say something in a sentence; it stands until the next. */
export function say(words) {
    said = words;
    tell();
}

function counted(mistakes) {
    counts = mistakes ? ` ${mistakes === 1 ? "1 mistake" : `${mistakes} mistakes`}.` : "";
    document.title = `${texts.get(state.uri)?.dirty ? "* " : ""}${texts.get(state.uri)?.name ?? "Tapeline"}`;
}

/** Show how things stand, in words. */
function tell() {
    const text = texts.get(state.shown);
    if (!text) return;
    const saved = !text.dirty ? "Saved." : text.where ? `Not saved; kept ${text.where}.` : "Not saved.";
    const shipped = text.shipped && !text.dirty ? "Comes with the program." : saved;
    const away = state.up ? "" : " The server is away; write on, it is taken up when it is back.";
    const news = !said || (!text.dirty && said.endsWith(" is saved.")) ? "" : `${said} `;
    const words = `${news}${shipped}${away}`;
    if (part("status").textContent !== words) part("status").textContent = words;
    part("status").dataset.state = state.up ? (text.dirty ? "unsaved" : "saved") : "away";
    for (const option of part("texts").options) {
        const known = texts.get(option.value);
        const name = files.find((file) => file.uri === option.value)?.name ?? known?.name ?? "";
        const mark = known?.view && known.dirty ? `${name} (not saved)` : name;
        if (option.textContent !== mark) option.textContent = mark;
    }
    counted(counts ? Number(counts.trim().split(" ")[0]) : 0);
}

// ------------------------------------------------------------------------------------------------ texts

export async function openText(uri, front = true) {
    let text = texts.get(uri);
    if (!text) {
        let read;
        try {
            read = await request("tapeline/read", { uri, tab });
        } catch (problem) {
            say(problem.message);
            return null;
        }
        text = texts.get(read.uri) ?? mount(read);
    }
    if (front) bringToFront(text);
    return text;
}

function mount(read) {
    const text = new FileText(read, desk);
    texts.set(text.uri, text);
    const host = document.createElement("div");
    host.className = "editor";
    host.hidden = true;
    part("editors").append(host);
    text.host = host;
    text.mount(makeEditor(host, {
        uri: text.uri,
        name: text.name,
        text: read.text,
        client,
        keys: [
            { key: "Mod-s", run: () => (text.save(), true), preventDefault: true },
            { key: "Shift-Alt-f", run: () => (tidy(), true), preventDefault: true },
            { key: "Mod-.", run: () => (mendHere(text), true), preventDefault: true },
        ],
        changed: (update) => isChanged(text, update),
    }));
    text.takeUp(read);
    if (!files.some((file) => file.uri === text.uri)) listFiles([...files, { uri: text.uri, name: text.name }]);
    showMessages(text);
    return text;
}

function bringToFront(text) {
    for (const one of texts.values()) one.host.hidden = one !== text;
    if (state.shown && state.shown !== text.uri) said = "";
    state.shown = text.uri;
    part("texts").value = text.uri;
    if (!/^\s*library\s/m.test(text.text.replace(/--.*$/gm, ""))) state.uri = text.uri;
    state.version = versionOf(state.uri);
    text.view.requestMeasure();
    tell();
    emit("shown");
    refresh(text);
}

const versionOf = (uri) => client.workspace.getFile(uri)?.version ?? 0;

function isChanged(text, update) {
    if (update.selectionSet || update.docChanged) {
        const line = update.state.doc.lineAt(update.state.selection.main.head).number;
        if (line !== text.line) {
            text.line = line;
            emit("cursor", { uri: text.uri, line });
        }
    }
    if (!update.docChanged || !text.view) return;
    said = "";
    text.changed();
    tell();
    clearTimeout(syncing);
    syncing = setTimeout(sync, 0);
    clearTimeout(resting);
    resting = setTimeout(rest, RESTED);
}

function sync() {
    client.sync();
    state.version = versionOf(state.uri);
    emit("text");
}

function rest() {
    emit("rest");
    const text = texts.get(state.shown);
    if (text) refresh(text);
}

function refresh(text) {
    colour(text, client);
    hint(text, client);
    offerMends();
}

async function openSaved(uri, from) {
    const cursor = from.view.state.selection.main.head;
    if (from.shipped) {
        from.stay(from.saved, from.base);
        replaceText(from.view, from.saved);
        from.forget();
    }
    const text = await openText(uri);
    if (!text) return;
    const read = await request("tapeline/read", { uri, tab });
    text.stay(read.text, read.base);
    text.there = true;
    replaceText(text.view, read.text);
    text.forget();
    goToLine(text.view, text.view.state.doc.lineAt(Math.min(cursor, text.view.state.doc.length)).number);
    tell();
}

async function tidy() {
    const text = texts.get(state.shown);
    if (!text || !client.serverCapabilities?.documentFormattingProvider) return say("Tidying is not at hand.");
    client.sync();
    const doc = text.view.state.doc;
    try {
        const edits = await request("textDocument/formatting", {
            textDocument: { uri: text.uri },
            options: { tabSize: 4, insertSpaces: true },
        });
        if (text.view.state.doc !== doc) return tidy();
        if (!edits?.length) return say("The text is tidy already, or cannot be tidied while there are mistakes in it.");
        const place = (position) =>
            position.line >= doc.lines ? doc.length : Math.min(doc.line(position.line + 1).from + position.character, doc.length);
        text.view.dispatch({
            changes: edits.map((edit) => ({ from: place(edit.range.start), to: place(edit.range.end), insert: edit.newText })),
            userEvent: "input.tidy",
        });
        return say("The text is tidied.");
    } catch (problem) {
        return isStale(problem) ? tidy() : say(problem.message);
    }
}

export async function goTo(uri, line, column = 1) {
    const text = await openText(uri);
    frame.show("writing");
    if (text) goToLine(text.view, line, column);
}

export function markLines(uri, lines) {
    const text = texts.get(uri);
    if (text) markIn(text.view, lines);
}

// ------------------------------------------------------------------------------------------------ the bar

function options(select, rows, chosen, none) {
    const made = rows.map(({ value, words }) => new Option(words, value, false, value === chosen));
    select.replaceChildren(...(none ? [new Option(none, "", false, !chosen)] : []), ...made);
}

function listFiles(rows) {
    files = rows;
    const known = [...rows, ...[...texts.values()].filter((text) => !rows.some((row) => row.uri === text.uri))];
    options(part("texts"), known.map(({ uri, name }) => ({ value: uri, words: name })), state.shown);
    tell();
}

async function chooseBody() {
    state.body = part("bodies").value;
    state.house = part("houses").value;
    sessionStorage.setItem("tapeline-body", JSON.stringify([state.body, state.house]));
    await giveBody();
    emit("body");
}

/** Give the server the body and the house, which reads their files anew. */
async function giveBody() {
    try {
        const told = await request("tapeline/body", { card: state.body || null, house: state.house || null, choices: state.choices });
        for (const one of told.diagnostics) say(one.title);
    } catch (problem) {
        if (!isStale(problem)) say(problem.message);
    }
    const text = texts.get(state.shown);
    if (text) hint(text, client);
}

// ------------------------------------------------------------------------------------------------ the server is there, or away

async function isUp() {
    const opening = await request("tapeline/opening", { tab });
    if (!state.shown) {
        const [body, house] = JSON.parse(sessionStorage.getItem("tapeline-body") ?? "null") ?? [opening.body, opening.house];
        state.body = body;
        state.house = house;
    }
    options(part("bodies"), opening.bodies.map(({ name, words }) => ({ value: name, words })), state.body, "none");
    options(part("houses"), opening.houses.map(({ name, words }) => ({ value: name, words })), state.house, "none");
    state.body = part("bodies").value;
    state.house = part("houses").value;
    listFiles(opening.files);
    state.up = true;
    if (state.body) await chooseBody();
    for (const text of texts.values()) await takeUpAgain(text);
    const text = await openText(state.shown || opening.uri);
    if (text && !document.activeElement?.closest("main, dialog, #notice")) text.view.focus();
    part("title").textContent = opening.folder;
    tell();
    emit("ready");
    rest();
}

/** The server was away: what happened on the disk meanwhile, and what it has not been given. */
async function takeUpAgain(text) {
    client.sync();
    const read = await request("tapeline/read", { uri: text.uri, tab });
    if ((read.there ? read.base : "") !== text.base || read.there !== text.there) {
        text.isChanged({ base: read.base, text: read.there ? read.text : null, by: "disk" });
    }
    text.keptAs = null;
    await text.keep();
}

onLine(async (there) => {
    if (!there) {
        state.up = false;
        emit("away");
        for (const text of texts.values()) text.keep();
        tell();
        return;
    }
    try {
        await isUp();
    } catch (problem) {
        if (up) say(problem.message);
    }
});
on("tapeline/changed", (params) => texts.get(params.uri)?.isChanged(params));
on("tapeline/elsewhere", async (params) => {
    listFiles(params.files);
    if (params.names.some((name) => name.endsWith(".toml"))) await giveBody();
    emit("disk");
});
on("workspace/inlayHint/refresh", () => texts.has(state.shown) && hint(texts.get(state.shown), client));

const frame = startFrame(() => texts.get(state.shown)?.view.focus());
startMessages(desk);
part("save").onclick = () => texts.get(state.shown)?.save();
part("tidy").onclick = tidy;
part("texts").onchange = (event) => openText(event.target.value);
part("bodies").onchange = chooseBody;
part("houses").onchange = chooseBody;
window.addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s" && !event.shiftKey && !event.altKey) {
        event.preventDefault();
        if (!event.defaultPreventedByText && !event.composedPath().some((one) => one.className === "editor")) texts.get(state.shown)?.save();
    }
});
window.addEventListener("pagehide", () => [...texts.values()].forEach((text) => text.hold()));
window.addEventListener("beforeunload", (event) => {
    if ([...texts.values()].some((text) => !text.hold())) event.preventDefault();
});
document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") for (const text of texts.values()) text.keep();
});
nameTab().then(() => connect(client));
