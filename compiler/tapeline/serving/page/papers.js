// Printing what is seen, and papers written beside the style.

import { say } from "./desk.js";
import { button, make } from "./making.js";

const kinds = make("fieldset", {}, make("legend", {}, "Papers, written beside the style"));
let half = null;
let ticked = new Set();

export function startPapers(given) {
    half = given;
    const dialog = make("dialog", { id: "papers", ariaLabel: "Papers" });
    dialog.append(kinds, button("Write them", async () => {
        const names = [...kinds.querySelectorAll("input:checked")].map((one) => one.value);
        if (!names.length) return kinds.querySelector("input").focus();
        const told = await half.ask("papers", { ...half.setting(), kinds: names });
        if (told) say(`Written in ${told.folder}: ${told.written.join(", ")}.`);
        dialog.close();
    }), button("Close", () => dialog.close()));
    document.body.append(dialog);
    document.getElementById("tools").append(button("Papers", () => dialog.showModal()), button("Print", () => window.print()));
}

export function takeKinds(told) {
    ticked = new Set([...kinds.querySelectorAll("input:checked")].map((one) => one.value));
    const rows = told.map(({ name, words }) => make("label", {}, make("input", { type: "checkbox", value: name, checked: ticked.has(name) }), ` ${name}: ${words}`));
    kinds.replaceChildren(kinds.firstElementChild, ...rows);
}
