// Files behind the texts: each text with what is saved of it, what is not, and what happens when the disk has another.
//
// Nothing typed is lost: what is not saved is kept by the server beside the file within a second, under this tab's own name; while
// the server is away, or the folder cannot be written, it is kept in the browser's store instead, and given to the server when it can be.

import { isStale, request, up } from "./connection.js";
import { replaceText } from "./editor.js";
import { ask, clearNotice } from "./notices.js";

const SOON = 350;  // milliseconds after the last change
const LATEST = 900;  // after the first

export let tab = "";

/** Name this tab: by the name it had before a reload, unless another tab has that, as one that was doubled. */
export async function nameTab() {
    const had = sessionStorage.getItem("tapeline-tab");
    for (const name of [had, had, had, fresh()]) {
        if (name && (await holds(name))) {
            tab = name;
            sessionStorage.setItem("tapeline-tab", name);
            return;
        }
        if (had) await new Promise((resolve) => setTimeout(resolve, 150));
    }
    tab = fresh();
}

function fresh() {
    return [...crypto.getRandomValues(new Uint8Array(4))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function holds(name) {
    if (!navigator.locks) return true;
    return new Promise((resolve) => {
        navigator.locks.request(`tapeline-${name}`, { ifAvailable: true }, (lock) => {
            resolve(Boolean(lock));
            return lock ? new Promise(() => {}) : undefined;
        });
    });
}

/** One open text.  `saved` is the text on the disk as it was last seen, `base` its sum. */
export class FileText {
    constructor(read, desk) {
        this.uri = read.uri;
        this.name = read.name;
        this.shipped = read.shipped;
        this.desk = desk;
        this.view = null;
        this.stay(read.text, read.there ? read.base : "");
        this.there = read.there;
        this.keptAs = null;  // the text that is kept beside the file
        this.where = "";  // where it is kept, in words
        this.timer = 0;
        this.since = 0;
    }
    get text() {
        return this.view.state.doc.toString();
    }
    get dirty() {
        return !this.view.state.doc.eq(this.savedDoc ?? this.view.state.doc) || !this.there;
    }
    stay(text, base) {
        this.saved = text;
        this.base = base;
        this.savedDoc = this.view ? this.view.state.toText(text) : null;
    }
    mount(view) {
        this.view = view;
        this.savedDoc = view.state.toText(this.saved);
    }
    version() {
        return this.desk.client.workspace.getFile(this.uri).version;
    }
    ask(method, more = {}) {
        this.desk.client.sync();
        return request(`tapeline/${method}`, { uri: this.uri, version: this.version(), base: this.base, tab, ...more });
    }

    // ---------------------------------------------------------------- what is not saved

    changed() {
        const now = Date.now();
        this.since ||= now;
        clearTimeout(this.timer);
        this.timer = setTimeout(() => this.keep(), Math.max(0, Math.min(SOON, this.since + LATEST - now)));
    }
    async keep() {
        clearTimeout(this.timer);
        this.since = 0;
        if (!this.dirty) {
            if (this.keptAs !== null && up) await this.ask("drop").catch(() => {});
            this.forget();
        } else if (this.keptAs !== this.text || this.where !== "beside the file") {
            const text = this.text;
            let words = "the server is away";
            try {
                if (up) {
                    const answer = await this.ask("keep");
                    words = answer.kept ? "" : answer.words;
                }
            } catch (problem) {
                if (isStale(problem)) return this.changed();
            }
            this.keptAs = text;
            this.where = words ? this.store(text, words) : "beside the file";
            if (!words) localStorage.removeItem(this.key());
        }
        this.desk.told();
    }
    key(name = tab) {
        return `tapeline ${this.uri} ${name}`;
    }
    store(text, words) {
        try {
            localStorage.setItem(this.key(), JSON.stringify({ base: this.base, at: new Date().toISOString(), text }));
            return "in this browser";
        } catch {
            return `on this page alone: ${words}`;
        }
    }
    forget() {
        this.keptAs = null;
        this.where = "";
        localStorage.removeItem(this.key());
    }
    /** Before the page goes: keep in the browser what the server has not yet. */
    hold() {
        if (this.dirty && (this.keptAs !== this.text || this.where !== "beside the file")) {
            this.keptAs = this.text;
            this.where = this.store(this.text, "the page was left");
        }
        return !this.dirty || this.keptAs === this.text;
    }
    /** What this tab kept of the text, the latest: in the browser what the server did not get, else beside the file. */
    kept(read) {
        const here = JSON.parse(localStorage.getItem(this.key()) ?? "null");
        return here ?? read.unsaved.find((copy) => copy.own) ?? null;
    }
    takeUp(read) {
        const kept = this.kept(read);
        if (kept && kept.text !== read.text) {
            replaceText(this.view, kept.text);
            this.desk.say(`What was not saved of ${this.name} was taken up.`);
            if (kept.base !== this.base) {
                const theirs = { base: this.base, text: read.there ? read.text : null };
                this.base = kept.base;
                this.settle(theirs, "disk");
            }
            return;
        }
        const left = read.unsaved.find((copy) => !copy.own && !copy.elsewhere);
        if (left) this.offer(left);
    }
    offer(left) {
        const when = left.at.slice(0, 16).replace("T", " ");
        ask(`There is text of ${this.name} that was typed on ${when} and never saved.`, [
            ["Take it up", async () => {
                replaceText(this.view, left.text);
                await this.keep();
                await this.ask("drop", { copy: left.tab }).catch(() => {});
            }],
            ["Throw it away", () => this.ask("drop", { copy: left.tab }).catch(() => {})],
            ["Later", () => {}],
        ], this.uri);
    }

    // ---------------------------------------------------------------- saving

    async save() {
        if (!up) return this.desk.say("The server is away; the text is kept here and can be saved when it is back.");
        if (this.shipped) return this.saveAs(`${this.name} comes with the program. Save a copy in your folder as:`);
        if (!this.dirty) return this.desk.say(`${this.name} is saved already.`);
        const text = this.text;
        let answer;
        try {
            answer = await this.ask("save");
        } catch (problem) {
            if (isStale(problem)) return this.save();
            return this.desk.say(`Not saved: ${problem.message}`);
        }
        if (answer.saved) return this.isSaved(text, answer);
        if (answer.why === "changed") return this.settle(answer, "disk");
        if (answer.why === "shipped") return this.saveAs(answer.words);
        this.keep();
        return this.desk.say(`Not saved. ${answer.words}`);
    }
    isSaved(text, answer) {
        this.there = true;
        this.stay(text, answer.base);
        if (!this.dirty) this.forget();
        else this.changed();
        clearNotice(this.uri);
        this.desk.say(`${this.name} is saved.`);
        this.desk.told();
    }
    saveAs(words) {
        ask(words, [
            ["Save as", async (name) => {
                const answer = await this.ask("save_as", { name }).catch((problem) => ({ words: problem.message }));
                if (!answer.saved) return this.saveAs(answer.words);
                if (!this.shipped && this.there) this.backTo(this.theirs);
                await this.desk.openSaved(answer.uri, this);
                this.desk.say(`${answer.name} is saved.`);
            }],
            ["Leave it", () => {}],
        ], this.uri, this.shipped ? this.name.replace(/\.style$/, "") : `${this.name.replace(/\.style$/, "")}_mine`);
    }
    backTo(theirs) {
        if (!theirs || theirs.text === null) return;
        this.stay(theirs.text, theirs.base);
        replaceText(this.view, theirs.text);
        this.keep();
    }

    // ---------------------------------------------------------------- the disk has another

    /** The file is another now, by `disk` or by another `tab`. */
    isChanged({ base, text, by }) {
        if (text === null) {
            this.there = false;
            this.base = "";
            this.desk.say(`${this.name} is gone from the disk. Saving writes it anew.`);
            this.changed();
            return;
        }
        if (this.dirty && this.text !== text) {
            this.settle({ base, text }, by);
            return;
        }
        this.there = true;
        this.stay(text, base);
        replaceText(this.view, text);
        this.forget();
        clearNotice(this.uri);
        this.desk.say(by === "tab" ? `${this.name} was saved in another tab, and taken over.` : `${this.name} was changed on the disk, and taken over.`);
        this.desk.told();
    }
    settle(theirs, by) {
        this.theirs = theirs;
        const who = by === "tab" ? "saved in another tab" : theirs.text === null ? "taken from the disk" : "changed on the disk";
        const ways = [
            ["Keep mine as...", () => this.saveAs("Save mine as:")],
            ["Save mine over it", () => {
                this.base = theirs.base;
                return this.save();
            }],
        ];
        if (theirs.text !== null) {
            ways.splice(1, 0, ["Take theirs", () => {
                this.backTo(theirs);
                this.desk.say("The text on the disk was taken. Undo brings yours back.");
            }]);
        }
        ask(`${this.name} was ${who} while you wrote. Yours is not saved.`, ways, this.uri);
        this.desk.told();
    }
}
