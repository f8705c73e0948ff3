// The editor of one text: CodeMirror in a shadow root of its own, so that its styles need no inline sheet.

import {
    EditorState, EditorView, autocompletion, bracketMatching, closeBrackets, closeBracketsKeymap, completionKeymap, defaultKeymap,
    drawSelection, findReferencesKeymap, highlightActiveLine, highlightActiveLineGutter, highlightSelectionMatches,
    highlightSpecialChars, history, historyKeymap, hoverTooltips, indentUnit, indentWithTab, jumpToDefinitionKeymap, keymap,
    lineNumbers, lintGutter, lintKeymap, rectangularSelection, renameKeymap, search, searchKeymap, serverCompletion, signatureHelp,
    signatureKeymap, Decoration, StateEffect, StateField,
} from "./editor.bundle.js";
import { colours } from "./colours.js";
import { hints } from "./hints.js";

/** What CodeMirror's client adds to each editor that is connected by it. */
export const ofClient = [
    serverCompletion(), hoverTooltips(), signatureHelp(),
    keymap.of([...renameKeymap, ...jumpToDefinitionKeymap, ...findReferencesKeymap, ...signatureKeymap]),
];

const theme = EditorView.theme({
    "&": { height: "100%", fontSize: "var(--text-size)", color: "var(--ink)", backgroundColor: "var(--paper)" },
    "&.cm-focused": { outline: "none" },
    ".cm-scroller": { fontFamily: "var(--mono)", lineHeight: "1.55" },
    ".cm-content": { caretColor: "var(--ink)", paddingBlock: "0.5rem 40vh" },
    ".cm-cursor": { borderLeftColor: "var(--ink)", borderLeftWidth: "2px" },
    ".cm-gutters": { backgroundColor: "var(--paper)", color: "var(--faint)", border: "none", paddingLeft: "0.2rem" },
    ".cm-activeLine, .cm-activeLineGutter": { backgroundColor: "var(--line)" },
    "&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground": {
        background: "var(--chosen) !important",
    },
    ".cm-line.told": { boxShadow: "inset 3px 0 0 var(--accent)", backgroundColor: "var(--line)" },
    ".cm-tooltip, .cm-panels": {
        backgroundColor: "var(--raised)", color: "var(--ink)", border: "1px solid var(--edge)", fontFamily: "var(--plain)",
    },
    ".cm-tooltip": { borderRadius: "4px", maxWidth: "34rem", boxShadow: "0 2px 10px var(--shade)" },
    ".cm-lsp-documentation": { padding: "0.3rem 0.6rem" },
    ".cm-tooltip pre, .cm-tooltip code": { fontFamily: "var(--mono)", whiteSpace: "pre-wrap" },
    ".cm-tooltip.cm-tooltip-autocomplete > ul": { fontFamily: "var(--mono)", maxHeight: "16em" },
    ".cm-tooltip-autocomplete ul li[aria-selected]": { background: "var(--accent)", color: "var(--on-accent)" },
    ".cm-completionDetail": { fontStyle: "normal", color: "inherit", opacity: "0.8", marginLeft: "1em" },
    ".cm-diagnostic": { whiteSpace: "pre-wrap", padding: "0.3rem 0.6rem" },
    ".cm-diagnostic-error": { borderLeft: "4px solid var(--wrong)" },
    ".cm-diagnostic-warning": { borderLeft: "4px double var(--care)" },
    ".cm-lintRange-error": { backgroundImage: "none", textDecoration: "underline wavy var(--wrong) 1.5px", textUnderlineOffset: "3px" },
    ".cm-lintRange-warning": { backgroundImage: "none", textDecoration: "underline dotted var(--care) 2px", textUnderlineOffset: "3px" },
    ".cm-lint-marker": { content: "normal !important", textAlign: "center", fontWeight: "700", width: "1em", height: "1.3em" },
    ".cm-lint-marker::before": { content: "'·'" },
    ".cm-lint-marker-error::before": { content: "'×'", color: "var(--wrong)" },
    ".cm-lint-marker-warning::before": { content: "'!'", color: "var(--care)" },
    ".cm-button": { backgroundImage: "none", background: "var(--ground)", color: "var(--ink)", border: "1px solid var(--edge)" },
    ".cm-textfield": { backgroundColor: "var(--paper)", color: "var(--ink)", border: "1px solid var(--edge)" },
    ".cm-searchMatch": { backgroundColor: "transparent", outline: "1px solid var(--accent)" },
    ".cm-selectionMatch": { backgroundColor: "var(--line)" },
    ".value": { color: "var(--faint)", fontFamily: "var(--plain)", fontSize: "0.86em", paddingLeft: "1.2em", userSelect: "none" },
    ".word-keyword, .word-operator": { color: "var(--word)", fontWeight: "600" },
    ".word-comment": { color: "var(--faint)", fontStyle: "italic" },
    ".word-string": { color: "var(--quoted)" },
    ".word-number, .word-type": { color: "var(--figure)" },
    ".word-class, .word-struct": { color: "var(--piece)", fontWeight: "600" },
    ".word-function, .word-method, .word-namespace": { color: "var(--library)" },
    ".word-parameter": { color: "var(--choice)" },
    ".word-declaration": { textDecoration: "underline 1px var(--edge)", textUnderlineOffset: "3px" },
});

const pointed = StateEffect.define();
const pointing = StateField.define({
    create: () => Decoration.none,
    update(shown, transaction) {
        shown = shown.map(transaction.changes);
        for (const effect of transaction.effects) if (effect.is(pointed)) shown = effect.value;
        return shown;
    },
    provide: (one) => EditorView.decorations.from(one),
});

/** Mark these lines, from 1, and no others. */
export function markLines(view, lines) {
    const doc = view.state.doc;
    const known = [...new Set(lines)].filter((line) => line >= 1 && line <= doc.lines).sort((a, b) => a - b);
    const found = known.map((line) => Decoration.line({ class: "told" }).range(doc.line(line).from));
    view.dispatch({ effects: pointed.of(Decoration.set(found)) });
}

/** Put the cursor on a line and column, from 1, in sight. */
export function goTo(view, line, column = 1) {
    const doc = view.state.doc;
    const on = doc.line(Math.max(1, Math.min(line, doc.lines)));
    const place = Math.min(on.from + Math.max(0, column - 1), on.to);
    view.dispatch({ selection: { anchor: place }, effects: EditorView.scrollIntoView(place, { y: "center" }) });
    view.focus();
}

/** Put another text in place of the editor's, changing only what is different, so that the cursor stays where it was. */
export function replaceText(view, text) {
    const old = view.state.doc.toString();
    if (old === text) return;
    let start = 0;
    while (start < old.length && start < text.length && old[start] === text[start]) start += 1;
    let end = 0;
    const most = Math.min(old.length, text.length) - start;
    while (end < most && old[old.length - 1 - end] === text[text.length - 1 - end]) end += 1;
    view.dispatch({ changes: { from: start, to: old.length - end, insert: text.slice(start, text.length - end) } });
}

/** An editor in an element, connected by a client; `keys` go before all others, `changed(update)` is told of every change and move. */
export function makeEditor(host, { uri, name, text, client, keys, changed }) {
    const root = host.attachShadow({ mode: "open" });
    const view = new EditorView({
        root,
        parent: root,
        state: EditorState.create({
            doc: text,
            extensions: [
                keymap.of(keys),
                lineNumbers(), highlightActiveLineGutter(), highlightSpecialChars(), history(), drawSelection(), rectangularSelection(),
                // Enter ends the line, whatever is offered; Down chooses from what is.
                highlightActiveLine(), highlightSelectionMatches(), bracketMatching(), closeBrackets(), autocompletion({ selectOnOpen: false }),
                search({ top: true }), lintGutter(), indentUnit.of("    "), EditorState.tabSize.of(4), colours, hints, pointing, theme,
                keymap.of([
                    ...closeBracketsKeymap, ...completionKeymap, ...lintKeymap, ...searchKeymap, ...historyKeymap, indentWithTab,
                    ...defaultKeymap,
                ]),
                EditorView.contentAttributes.of({ "aria-label": `Text of ${name}`, spellcheck: "false" }),
                EditorView.updateListener.of(changed),
                client.plugin(uri, "tapeline"),
            ],
        }),
    });
    return view;
}
