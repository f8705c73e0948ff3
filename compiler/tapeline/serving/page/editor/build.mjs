// Builds ../editor.bundle.js and ../editor.licences.txt from the packages of package-lock.json: `npm ci && node build.mjs [FOLDER]`.
// The same packages give the same bytes; tests/serving/test_bundle.py holds their sums.
import { build } from "esbuild";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const into = resolve(process.argv[2] ?? join(here, ".."));
const result = await build({
    absWorkingDir: here,
    entryPoints: ["entry.js"],
    bundle: true,
    minify: true,
    format: "esm",
    target: "es2022",
    charset: "utf8",
    legalComments: "none",
    alias: { marked: "./words.js" },
    metafile: true,
    write: false,
});
writeFileSync(join(into, "editor.bundle.js"), result.outputFiles[0].contents);

const used = new Set();
for (const name of Object.keys(result.metafile.inputs)) {
    const found = /^node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(name);
    if (found) used.add(found[1]);
}
const told = [...used].sort().map((name) => {
    const folder = join(here, "node_modules", name);
    const { version, license } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
    const file = readdirSync(folder).find((one) => /^licen[cs]e/i.test(one));
    if (!file) throw new Error(`${name} has no licence beside it`);
    return `${name} ${version} (${license})\n\n${readFileSync(join(folder, file), "utf8").trim()}\n`;
});
const line = "-".repeat(72);
writeFileSync(join(into, "editor.licences.txt"), `What editor.bundle.js is made of, and under which licences.\n\n${told.join(`\n${line}\n\n`)}`);
