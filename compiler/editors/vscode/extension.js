// Starts the language server of Tapeline over standard input and output, and lets it serve every text of the language.
"use strict";

const { workspace } = require("vscode");
const { LanguageClient } = require("vscode-languageclient/node");

let client;

exports.activate = () => {
  const [command, ...args] = workspace.getConfiguration("tapeline").get("command");
  const options = {
    documentSelector: [
      { scheme: "file", language: "tapeline" },
      { scheme: "untitled", language: "tapeline" },
    ],
    // Cards, house files and size tables change what is drafted, and styles and libraries what others rest on.
    synchronize: { fileEvents: workspace.createFileSystemWatcher("**/*.{style,fittings,toml,csv}") },
  };
  client = new LanguageClient("tapeline", "Tapeline", { command, args }, options);
  return client.start();
};

exports.deactivate = () => client?.stop();
