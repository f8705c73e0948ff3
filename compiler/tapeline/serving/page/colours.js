// What each word of a text is, as the server tells it (semantic tokens), shown by colour and, where it matters, by weight or slant.

import { Decoration, EditorView, LSPPlugin, StateEffect, StateField } from "./editor.bundle.js";
import { isStale, request, up } from "./connection.js";

const tokens = StateEffect.define();

const field = StateField.define({
    create: () => Decoration.none,
    update(shown, transaction) {
        shown = shown.map(transaction.changes);
        for (const effect of transaction.effects) if (effect.is(tokens)) shown = effect.value;
        return shown;
    },
    provide: (one) => EditorView.decorations.from(one),
});

export const colours = field;

/** Ask for the colours of a text; `later` asks again where it was changed meanwhile. */
export async function colour(text, client) {
    const legend = client.serverCapabilities?.semanticTokensProvider?.legend;
    if (!legend || !up) return;
    const doc = text.view.state.doc;
    let answer;
    try {
        answer = await request("textDocument/semanticTokens/full", { textDocument: { uri: text.uri } });
    } catch (problem) {
        if (up && !isStale(problem)) console.warn(problem.message);
        return;
    }
    const plugin = LSPPlugin.get(text.view);
    if (!answer || !plugin || text.view.state.doc !== doc) return;
    text.view.dispatch({ effects: tokens.of(Decoration.set(decorations(answer.data, legend, doc), true)) });
}

function decorations(data, legend, doc) {
    const found = [];
    let line = 0;
    let column = 0;
    for (let at = 0; at + 4 < data.length; at += 5) {
        if (data[at]) column = 0;
        line += data[at];
        column += data[at + 1];
        if (line >= doc.lines) break;
        const start = doc.line(line + 1).from + column;
        const end = Math.min(start + data[at + 2], doc.length);
        const traits = legend.tokenModifiers.filter((_, number) => data[at + 4] & (1 << number));
        const names = [legend.tokenTypes[data[at + 3]], ...traits].map((name) => `word-${name}`);
        if (start < end) found.push(Decoration.mark({ class: names.join(" ") }).range(start, end));
    }
    return found;
}
