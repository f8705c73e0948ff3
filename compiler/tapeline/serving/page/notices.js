// What has to be settled by the author, in a strip above the text: a sentence, perhaps a name to give, and a button for each way.

const asked = new Map();  // what it is about -> {words, ways, name}

/** Ask something; each way is [words, function(name)].  What is asked of the same thing takes its place. */
export function ask(words, ways, about = "", name = null) {
    asked.set(about, { words, ways, name });
    show();
}

export function clearNotice(about = "") {
    if (asked.delete(about)) show();
}

function show() {
    const strip = document.getElementById("notice");
    strip.replaceChildren(
        ...[...asked].map(([about, { words, ways, name }]) => {
            const row = document.createElement("div");
            const said = document.createElement("p");
            said.textContent = words;
            row.append(said);
            let field = null;
            if (name !== null) {
                field = document.createElement("input");
                field.value = name;
                field.setAttribute("aria-label", "Name");
                field.maxLength = 80;
                row.append(field);
            }
            const buttons = ways.map(([word, follow]) => {
                const button = document.createElement("button");
                button.type = "button";
                button.textContent = word;
                button.onclick = () => {
                    clearNotice(about);
                    follow(field?.value ?? "");
                };
                return button;
            });
            if (field) field.onkeydown = (event) => event.key === "Enter" && buttons[0].click();
            row.append(...buttons);
            return row;
        }),
    );
    if (asked.size) strip.querySelector("input")?.select();
}
