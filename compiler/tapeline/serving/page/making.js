// Elements of a page, made of names and words; words are only ever set as text.

export function make(tag, attributes = {}, ...inside) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
        if (name in element) element[name] = value;
        else element.setAttribute(name, value);
    }
    element.append(...inside);
    return element;
}

export function button(words, does, attributes = {}) {
    return make("button", { type: "button", onclick: does, ...attributes }, words);
}

/** An element of a drawing. */
export function draw(tag, attributes = {}, ...inside) {
    const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    element.append(...inside);
    return element;
}

/** A name of the language in words. */
export const inWords = (name) => name.replaceAll("_", " ");
