// A line of the drawing leads to its rule, a rule to what it drew: by pointer, by the cursor in the text, and by a list in words.

import { events, goTo, markLines, say, state } from "./desk.js";
import { button, inWords, make } from "./making.js";

const panel = make("div", { id: "taken", role: "status" });
let half = null;
let links = { own: {}, held: {}, files: {} };
let picked = null;  // {piece, line, name} of the line that was taken
let list = null;

export function startLinks(given) {
    half = given;
    list = make("select", { id: "lines", ariaLabel: "Lines of the drawing" });
    list.onchange = () => take(list.value ? JSON.parse(list.value) : null);
    document.getElementById("tools").append(make("label", {}, "Lines ", list));
    document.getElementById("story").after(panel);
    const under = make("p", { id: "under", "aria-hidden": "true" });  // who has no pointer finds the same in the list
    document.getElementById("drawing").append(under);
    half.sheet.pointed = (path) => {
        for (const other of half.sheet.layers.pieces.querySelectorAll(".under")) other.classList.remove("under");
        path?.classList.add("under");
        under.textContent = path ? words(keyOf(path)) : "";
    };
    half.sheet.taken = (path) => take(path ? keyOf(path) : null);
    events.addEventListener("cursor", ({ detail }) => show(detail));
    document.addEventListener("tapeline-drawn", again);
}

const keyOf = (path) => ({
    piece: path.closest("[data-at]").dataset.at, line: path.dataset.line, name: path.dataset.edge ?? path.dataset.name ?? "",
    rule: path.dataset.rule ?? "",
});
const words = ({ piece, name, line }) => `${inWords(piece)}: ${inWords(name || line)}${name ? ` (${inWords(line)})` : ""}`;
const fileOf = (uri) => decodeURIComponent(uri.split("/").pop());

/** The paths of these lines, as {piece, line, name}. */
function paths(lines) {
    const wanted = new Set(lines.map(({ piece, line, name }) => `${piece}|${line}|${name}`));
    const all = half.sheet.layers.pieces.querySelectorAll("path[data-line]");
    return [...all].filter((path) => {
        const { piece, line, name } = keyOf(path);
        return wanted.has(`${piece}|${line}|${name}`);
    });
}

function mark(own, held = []) {
    for (const path of half.sheet.layers.pieces.querySelectorAll(".drew, .rests")) path.classList.remove("drew", "rests");
    for (const path of paths(held)) path.classList.add("rests");
    for (const path of paths(own)) path.classList.add("drew");
}

let marked = [[], []];
function again() {
    mark(...marked);
}

export function takeLinks(answer) {
    links = answer;
    const groups = [...half.sheet.pieces.values()].map((piece) => {
        const group = make("optgroup", { label: piece.title });
        const seen = new Set();
        for (const path of piece.group.querySelectorAll("path[data-line]")) {
            const key = keyOf(path);
            if (!key.name || seen.has(words(key))) continue;
            seen.add(words(key));
            group.append(new Option(`${inWords(key.name)} (${inWords(key.line)})`, JSON.stringify(key)));
        }
        return group;
    });
    const value = list.value;
    list.replaceChildren(new Option("none taken", ""), ...groups);
    list.value = value;
    if (list.selectedIndex < 0) list.value = "";
}

/** Take a line of the drawing: its rule is shown in the text and told, and why it lies where it does can be asked. */
function take(key) {
    picked = key;
    list.value = key && [...list.options].find((option) => option.value === JSON.stringify(key))?.value || "";
    if (!key) {
        marked = [[], []];
        again();
        panel.replaceChildren();
        return markLines(state.uri, []);
    }
    marked = [[key], []];
    again();
    const path = paths([key])[0];
    if (path) half.sheet.reveal(path);
    const rests = Object.keys(links.held).filter((rule) => links.held[rule].some((one) => one.piece === key.piece && one.line === key.line && one.name === key.name));
    const rules = [...new Set([key.rule, ...rests].filter(Boolean))];
    const others = rules.filter((rule) => rule !== key.rule);
    const behind = make("details", {}, make("summary", {}, others.length === 1 ? "1 rule behind it" : `${others.length} rules behind it`),
        make("span", { className: "rules" }, ...others.map((rule) => button(called(rule), () => follow(rule)))));
    const tree = make("pre", { tabIndex: 0, hidden: true, ariaLabel: "Why it lies there" });
    const why = button("Why", async () => {
        const told = await half.ask("why", { ...half.setting(), place: `${key.piece}.${key.name}` });
        if (!told) return;
        tree.textContent = told.lines.join("\n");
        tree.hidden = false;
    });
    panel.replaceChildren(
        make("p", {}, make("strong", {}, words(key)), key.rule ? ", drawn by " : rules.length ? ". " : ". No rule of a text drew it. "),
        ...(key.rule ? [button(called(key.rule), () => follow(key.rule))] : []),
        ...(key.name ? [why] : []),
        button("Let go", () => take(null)),
        ...(others.length ? [behind] : []),
        tree,
    );
    const here = rules.filter((rule) => uriOf(rule) === state.uri).map(lineOf);
    markLines(state.uri, here);
    if (key.rule) follow(key.rule, half.sheet.frame.contains(document.activeElement) ? half.sheet.frame : list);
}

const lineOf = (rule) => Number(rule.slice(rule.lastIndexOf(":") + 1));
const called = (rule) => (uriOf(rule) === state.uri ? `line ${lineOf(rule)}` : `${rule.replace(/:(\d+)$/, ", line $1")}`);
const uriOf = (rule) => links.files?.[rule.slice(0, rule.lastIndexOf(":"))] ?? "";

/** Show a rule in the text.  A line that was taken in the drawing stays taken, and the hand stays where it was. */
export async function follow(rule, back = null) {
    const uri = uriOf(rule);
    if (!uri) return say(`The rule stands in ${rule}.`);
    if (back && uri !== state.shown) return undefined;  // another text comes to the front only when it is asked for
    following = true;
    const shows = document.getElementById("desk").dataset.shows;
    if (back && shows !== "writing" && getComputedStyle(document.getElementById("divider")).display === "none") {
        following = false;  // there is room for one part alone: the text is a press away
        return undefined;
    }
    await goTo(uri, lineOf(rule));
    following = false;
    back?.focus();
    return undefined;
}

let following = false;

/** What the rule under the cursor drew. */
function show({ uri, line }) {
    if (following) return;
    const rule = `${fileOf(uri)}:${line}`;
    const [own, held] = [links.own[rule] ?? [], links.held[rule] ?? []];
    if (!own.length && !held.length && picked) return;
    picked = null;
    marked = [own, held];
    again();
    const told = (lines) => [...new Set(lines.map(words))];
    const all = told(own.length ? own : held);
    const more = all.length > 8 ? `, and ${all.length - 8} more` : "";
    const said = own.length ? "drew" : "is behind";
    panel.replaceChildren(...(all.length ? [make("p", {}, `Line ${line} ${said} ${all.slice(0, 8).join("; ")}${more}.`)] : []));
}
