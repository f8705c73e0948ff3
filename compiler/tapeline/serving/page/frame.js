// The frame: the divider, what is shown where there is little room, and the keys.

export const KEYS = [
    ["Ctrl+S", "Save the text that is open"],
    ["Shift+Alt+F", "Tidy the text"],
    ["F8, Shift+F8", "To the next or last mistake"],
    ["Ctrl+.", "Follow a way out of the mistake in this line"],
    ["Ctrl+Space", "What can be written here"],
    ["F12", "To where a name was written"],
    ["F2", "Call a name otherwise, everywhere"],
    ["Shift+F12", "Every place of a name"],
    ["Ctrl+F", "Look for words in the text"],
    ["Ctrl+Z, Ctrl+Y", "Undo, and do again"],
    ["F6, Shift+F6", "To the next or last part: bar, text, drawing, what is told"],
    ["Escape, then Tab", "Leave the text by Tab, which else indents a line"],
    ["Arrow keys on the divider", "More room for the text or the drawing"],
    ["Arrow keys on the drawing", "Move it; with Shift further"],
    ["+, -, 0 on the drawing", "Come nearer, go further, show all"],
    ["Arrow keys on a slider", "One step; Page Up and Page Down more"],
    ["F1", "These keys"],
];
const PARTS = ["bar", "writing", "right", "below"];
const narrow = window.matchMedia("(max-width: 880px)");

export function startFrame(focusText) {
    const desk = document.getElementById("desk");
    const divider = document.getElementById("divider");
    const set = (share) => {
        const whole = Math.round(Math.min(80, Math.max(20, share)));
        desk.style.setProperty("--share", `${whole}%`);
        divider.setAttribute("aria-valuenow", String(whole));
        localStorage.setItem("tapeline-share", String(whole));
    };
    set(Number(localStorage.getItem("tapeline-share")) || 45);
    divider.onpointerdown = (event) => {
        divider.setPointerCapture(event.pointerId);
        divider.onpointermove = (move) => {
            const box = desk.getBoundingClientRect();
            set(((move.clientX - box.left) / box.width) * 100);
        };
    };
    divider.onpointerup = divider.onpointercancel = () => (divider.onpointermove = null);
    divider.onkeydown = (event) => {
        const now = Number(divider.getAttribute("aria-valuenow"));
        const to = { ArrowLeft: now - 2, ArrowRight: now + 2, Home: 20, End: 80 }[event.key];
        if (to === undefined) return;
        event.preventDefault();
        set(to);
    };

    const tabs = [...document.querySelectorAll("#tabs button")];
    const show = (part) => {
        desk.dataset.shows = part;
        for (const tab of tabs) tab.setAttribute("aria-pressed", String(tab.dataset.shows === part));
    };
    for (const tab of tabs) tab.onclick = () => show(tab.dataset.shows);

    const help = document.getElementById("help");
    document.getElementById("help-list").append(
        ...KEYS.map(([keys, words]) => {
            const row = document.createElement("div");
            const key = document.createElement("dt");
            const does = document.createElement("dd");
            key.textContent = keys;
            does.textContent = words;
            row.append(key, does);
            return row;
        }),
    );
    const openHelp = () => help.open || help.showModal();
    document.getElementById("keys").onclick = openHelp;

    const step = (by) => {
        const at = PARTS.findIndex((id) => document.getElementById(id).contains(document.activeElement));
        const next = PARTS[(Math.max(at, 0) + by + PARTS.length) % PARTS.length];
        if (narrow.matches && next !== "bar") show(next);
        if (next === "writing") focusText();
        else if (next === "bar") document.getElementById("texts").focus();
        else document.getElementById(next).focus();
    };
    window.addEventListener("keydown", (event) => {
        if (event.key === "F1") openHelp();
        else if (event.key === "F6") step(event.shiftKey ? -1 : 1);
        else return;
        event.preventDefault();
    }, true);
    return { show };
}
