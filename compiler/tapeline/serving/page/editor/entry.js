// What the page's own modules take from CodeMirror.
export { EditorState, StateField, StateEffect, Compartment, Transaction, RangeSetBuilder } from "@codemirror/state";
export {
    EditorView, Decoration, ViewPlugin, WidgetType, keymap, lineNumbers, highlightActiveLine, highlightActiveLineGutter,
    drawSelection, highlightSpecialChars, rectangularSelection, tooltips,
} from "@codemirror/view";
export { defaultKeymap, history, historyKeymap, indentWithTab, undo, redo } from "@codemirror/commands";
export { bracketMatching, indentUnit, foldGutter, foldKeymap } from "@codemirror/language";
export { setDiagnostics, lintGutter, nextDiagnostic, previousDiagnostic, lintKeymap } from "@codemirror/lint";
export { autocompletion, completionKeymap, closeBrackets, closeBracketsKeymap } from "@codemirror/autocomplete";
export { search, searchKeymap, highlightSelectionMatches } from "@codemirror/search";
export {
    LSPClient, LSPPlugin, Workspace, serverCompletion, hoverTooltips, signatureHelp, signatureKeymap, formatDocument,
    renameKeymap, jumpToDefinitionKeymap, findReferencesKeymap, jumpToDefinition, renameSymbol, findReferences,
} from "@codemirror/lsp-client";
