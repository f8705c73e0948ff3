// The texts that are open, as CodeMirror's client of the language server protocol sees them: each with its own editor.

import { LSPPlugin, Workspace } from "./editor.bundle.js";

class OpenText {
    constructor(uri, languageId, version, view) {
        this.uri = uri;
        this.languageId = languageId;
        this.version = version;
        this.doc = view.state.doc;
        this.view = view;
    }
    getView() {
        return this.view;
    }
}

export class OpenTexts extends Workspace {
    /** `show(uri)` gives the editor of a text, opened if need be. */
    constructor(client, show) {
        super(client);
        this.show = show;
        this.files = [];
        this.versions = new Map();
    }
    next(uri) {
        const version = (this.versions.get(uri) ?? 0) + 1;
        this.versions.set(uri, version);
        return version;
    }
    syncFiles() {
        const changed = [];
        for (const file of this.files) {
            const plugin = LSPPlugin.get(file.view);
            if (!plugin || plugin.unsyncedChanges.empty) continue;
            changed.push({ changes: plugin.unsyncedChanges, file, prevDoc: file.doc });
            file.doc = file.view.state.doc;
            file.version = this.next(file.uri);
            plugin.clear();
        }
        return changed;
    }
    openFile(uri, languageId, view) {
        const file = new OpenText(uri, languageId, this.next(uri), view);
        this.files.push(file);
        this.client.didOpen(file);
    }
    closeFile(uri) {
        if (!this.getFile(uri)) return;
        this.files = this.files.filter((file) => file.uri !== uri);
        this.client.didClose(uri);
    }
    async requestFile(uri) {
        await this.show(uri, false);
        return this.getFile(uri);
    }
    displayFile(uri) {
        return this.show(uri, true);
    }
}
