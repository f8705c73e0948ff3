// Stands in the bundle where lsp-client takes "marked": what the server tells of a name is words, and never markup of its own.
// Every sign of the text is escaped; then paragraphs, examples in fences, `words as written` and **strong** words are shown as such.
const escaped = (text) => text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);

function paragraph(text) {
    return escaped(text)
        .split(/(`[^`\n]+`)/)
        .map((part, number) => (number % 2 ? `<code>${part.slice(1, -1)}</code>` : part.replace(/\*\*([^*\n]+)\*\*/g, "<strong>$1</strong>")))
        .join("")
        .replace(/\n/g, "<br>");
}

export class Marked {
    parse(text) {
        return text
            .split(/^```[^\n]*\n/m)
            .map((part, number) =>
                number % 2
                    ? `<pre>${escaped(part.trimEnd())}</pre>`
                    : part
                          .split(/\n\s*\n/)
                          .filter((block) => block.trim())
                          .map((block) => `<p>${paragraph(block.trim())}</p>`)
                          .join(""),
            )
            .join("");
    }
}
