// Sliders: one for each measure and choice, between its lowest and highest value, in steps that a hand reckons by.
//
// A slider moves over a list of places: the whole steps within its range, its ends, and what the card or the style has, so that a
// value off the steps can be gone back to.  Beside it stands the figure, which can be typed.  What differs is said in words.

import { events, say } from "./desk.js";
import { button, inWords, make } from "./making.js";

const AHEAD = 16, NEAR = 6;  // places of a slider that are drafted before the hand is there, and that are to be there
const rows = new Map();  // name -> {slider, sort, range, figure, differs, reset}
let half = null;
let lists = {};
let laid = "";

export function startSliders(given) {
    half = given;
    const differs = make("p", { id: "differs", role: "status" });
    const kept = make("details", { id: "kept" }, make("summary", {}, "Keep these as a card"));
    const card = make("textarea", { readOnly: true, rows: 6, ariaLabel: "A card with these measures" });
    const options = make("textarea", { readOnly: true, rows: 2, ariaLabel: "Choices as options of a command" });
    kept.append(card, options);
    kept.ontoggle = async () => {
        const told = kept.open ? await half.ask("card", half.setting()) : null;
        if (told) [card.value, options.value] = [told.card, told.options || "No choice differs."];
    };
    document.addEventListener("tapeline-drawn", (event) => event.detail.resting && kept.open && kept.ontoggle());
    const all = button("All as on the card", () => setAll({ measures: {}, choices: {} }));
    lists = { measures: make("fieldset", { className: "slides" }), choices: make("fieldset", { className: "slides" }), sizes: make("fieldset", { id: "sizes" }), differs };
    document.getElementById("sliders").append(make("div", { className: "line" }, differs, all), lists.choices, lists.measures, lists.sizes, kept);
    events.addEventListener("away", () => (laid = ""));
    for (const name of ["text", "body", "ready"]) events.addEventListener(name, () => rows.forEach((one) => (one.ahead = null)));
}

/** Set everything that can be slid at once. */
export function setAll({ measures, choices }, resting = true) {
    half.values.measures = { ...measures };
    if (choices) half.values.choices = { ...choices };
    for (const name of rows.keys()) follow(name);
    half.draw(resting);
}

/** What can be slid; sliders that are the same as before stay, so that the hand on one is not lost. */
export function showSheet(told) {
    const now = JSON.stringify([told.measures, told.choices, told.tables]);
    if (now === laid) return;
    laid = now;
    const focus = document.activeElement?.id;
    rows.clear();
    lists.measures.replaceChildren(make("legend", {}, `Measures of ${told.body}`), ...told.measures.map((one) => row(one, "measures")));
    lists.choices.replaceChildren(make("legend", {}, "Choices"), ...told.choices.map((one) => row(one, "choices")));
    lists.choices.hidden = !told.choices.length;
    showTables(told.tables);
    for (const name of rows.keys()) follow(name);
    if (focus && document.activeElement === document.body) document.getElementById(focus)?.focus();
}

/** Figures of what was slid, in the unit of the page. */
export function takeShown(shown) {
    for (const [name, words] of Object.entries(shown)) {
        const one = rows.get(name);
        if (!one) continue;
        one.range.setAttribute("aria-valuetext", words);
        if (one.figure && document.activeElement !== one.figure) one.figure.value = words;
    }
}

const value = ({ slider, sort }) => half.values[sort][slider.name] ?? slider.value;

function row(slider, sort) {
    const id = `slide_${slider.name}`;
    const one = { slider, sort, places: placesOf(slider) };
    const label = make("label", { htmlFor: id, title: [slider.words, slider.taken].filter(Boolean).join(". ") }, inWords(slider.name));
    one.differs = make("span", { className: "differs", id: `${id}_differs` });
    one.reset = button("Reset", () => set(slider.name, slider.value, true), { ariaLabel: `Reset ${inWords(slider.name)}` });
    if (slider.kind === "condition") {
        one.range = make("input", { type: "checkbox", id, role: "switch", onchange: () => set(slider.name, Number(one.range.checked), true) });
    } else {
        const most = one.places.length - 1;
        one.range = make("input", { type: "range", id, min: 0, max: most, step: 1, disabled: !most });
        one.range.setAttribute("aria-describedby", `${id}_differs`);
        one.range.oninput = () => set(slider.name, one.places[one.range.value]);
        for (const name of ["pointerenter", "pointerdown", "focus"]) one.range.addEventListener(name, () => lookAhead(one));
        one.figure = make("input", { type: "text", size: 9, inputMode: "text", ariaLabel: `${inWords(slider.name)}, as a figure` });
        one.figure.onchange = () => typed(one);
    }
    rows.set(slider.name, one);
    return make("div", { className: `slide${one.figure ? "" : " switch"}` }, label, one.range, one.figure ?? "", one.reset, one.differs);
}

function placesOf({ low, high, step, value: own }) {
    const places = [low, high];
    for (let k = Math.ceil(low / step); k * step <= high; k += 1) places.push(k * step);
    const others = [...new Set(places)].filter((place) => Math.abs(place - own) > step / 1000);
    return [...others, own].sort((a, b) => a - b).filter((place, k, all) => !k || place === own || place - all[k - 1] > step / 1000);
}

function set(name, to, resting = false) {
    const { slider, sort } = rows.get(name);
    if (Math.abs(to - slider.value) <= slider.step / 2000) delete half.values[sort][name];
    else half.values[sort][name] = to;
    follow(name);
    half.draw(resting);
    if (!resting && rows.get(name).ahead) lookAhead(rows.get(name));  // of a slider that nobody took hold of, none are
}

/** Let the places about a slider's be drafted, unless they are; they are of all else as it is set now. */
function lookAhead(one) {
    const at = Number(one.range.value);
    const { uri, measures, choices } = half.setting();
    delete { measures, choices }[one.sort][one.slider.name];
    const others = JSON.stringify([uri, measures, choices]);
    const [least, most] = [Math.max(0, at - NEAR), Math.min(one.places.length - 1, at + NEAR)];
    if (one.ahead?.others === others && one.ahead.from <= least && one.ahead.to >= most) return;
    const [from, to] = [Math.max(0, at - AHEAD), Math.min(one.places.length - 1, at + AHEAD)];
    one.ahead = { others, from, to };
    half.ask("ahead", { measures, choices, name: one.slider.name, values: one.places.slice(from, to + 1) });
}

async function typed(one) {
    const text = one.figure.value;
    const told = await half.ask("figure", { name: one.slider.name, text });
    if (one.figure.value !== text) return;  // something else was typed meanwhile
    one.figure.setAttribute("aria-invalid", String(!told));
    if (!told) return;
    say("");
    one.figure.value = told.shown;
    set(one.slider.name, told.value, true);
    one.differs.textContent += told.words ? ` ${told.words}` : "";
}

/** Let a slider and its words follow what is set. */
function follow(name) {
    const one = rows.get(name);
    const { slider, sort, range, figure } = one;
    const now = value(one);
    const own = name in half.values[sort];
    if (slider.kind === "condition") range.checked = Boolean(now);
    else range.value = one.places.reduce((best, place, k) => (Math.abs(place - now) < Math.abs(one.places[best] - now) ? k : best), 0);
    if (figure && !own) {
        figure.value = slider.value_shown;
        figure.removeAttribute("aria-invalid");
    }
    if (!own && slider.kind !== "condition") range.setAttribute("aria-valuetext", slider.value_shown);
    one.reset.hidden = !own;
    const from = sort === "measures" ? "on the card" : "as usual";
    const shown = slider.kind === "condition" ? (slider.value ? "yes" : "no") : slider.value_shown;
    one.differs.textContent = own ? `${from}: ${shown}` : "";
    const count = Object.keys(half.values.measures).length + Object.keys(half.values.choices).length;
    lists.differs.textContent = count ? `${count === 1 ? "1 figure differs" : `${count} figures differ`} from the card or the style.` : "All as on the card and as the style has it.";
}

/** A size table as one slider over its sizes. */
function showTables(tables) {
    const select = make("select", { id: "size_table" }, new Option("none", ""), ...tables.map(({ name, uri }) => new Option(inWords(name), uri)));
    const range = make("input", { type: "range", id: "size_at", min: 0, max: 0, step: 1, disabled: true, ariaLabel: "Size" });
    const told = make("output", { htmlFor: "size_at" });
    let sizes = [];
    const choose = () => {
        const size = sizes[range.value];
        told.textContent = `size ${size.name}`;
        range.setAttribute("aria-valuetext", told.textContent);
        setAll({ measures: size.measures }, false);
    };
    select.onchange = async () => {
        const answer = select.value ? await half.ask("sizes", { table: select.value }) : null;
        sizes = answer?.sizes ?? [];
        range.disabled = !sizes.length;
        range.max = Math.max(0, sizes.length - 1);
        range.value = 0;
        told.textContent = "";
        if (sizes.length) choose();
        else setAll({ measures: {} });
    };
    range.oninput = choose;
    const label = make("label", { htmlFor: "size_table" }, "Table");
    lists.sizes.replaceChildren(make("legend", {}, "Sizes"), make("div", { className: "slide" }, label, select, range, told));
    lists.sizes.hidden = !tables.length;
}
