// What each named quantity comes to for the chosen body, shown behind its line (inlay hints).

import { Decoration, EditorView, StateEffect, StateField, WidgetType } from "./editor.bundle.js";
import { isStale, request, up } from "./connection.js";

const told = StateEffect.define();

class Value extends WidgetType {
    constructor(words) {
        super();
        this.words = words;
    }
    eq(other) {
        return other.words === this.words;
    }
    toDOM() {
        const shown = document.createElement("span");
        shown.className = "value";
        shown.textContent = this.words;
        return shown;
    }
    ignoreEvent() {
        return false;
    }
}

export const hints = StateField.define({
    create: () => Decoration.none,
    update(shown, transaction) {
        shown = shown.map(transaction.changes);
        for (const effect of transaction.effects) if (effect.is(told)) shown = effect.value;
        return shown;
    },
    provide: (one) => EditorView.decorations.from(one),
});

/** Ask what the names of a text come to. */
export async function hint(text, client) {
    if (!client.serverCapabilities?.inlayHintProvider || !up) return;
    const doc = text.view.state.doc;
    const last = doc.lines;
    let answer;
    try {
        answer = await request("textDocument/inlayHint", {
            textDocument: { uri: text.uri },
            range: { start: { line: 0, character: 0 }, end: { line: last, character: 0 } },
        });
    } catch (problem) {
        if (up && !isStale(problem)) console.warn(problem.message);
        return;
    }
    if (text.view.state.doc !== doc) return;
    const found = (answer ?? [])
        .filter((one) => one.position.line < last)
        .map((one) => {
            const place = Math.min(doc.line(one.position.line + 1).from + one.position.character, doc.length);
            return Decoration.widget({ widget: new Value(String(one.label)), side: 1 }).range(place);
        });
    text.view.dispatch({ effects: told.of(Decoration.set(found, true)) });
}
