// The sheet: the pieces side by side, seen from any distance.  One unit of the drawing is a millimetre; `scale` is pixels to the millimetre.
//
// A piece's own group is parsed once for each key and stays while its key does.  Lines keep their width on the screen: what the papers
// have in millimetres stands here in pixels, three to one, and a transform of the piece moves it without drawing it again.

import { draw, make } from "./making.js";

const PIXELS = 3;  // to the millimetre of a line's width and dashes
const NEAREST = 40;
const FAR = 0.5;  // pixels to the millimetre under which the papers' own words are too small to read
const LETTER = 6.8;  // pixels that a letter of a title is wide, about
const LINE = 14;  // pixels from one line of it to the next
const REACH = 9;  // pixels from a line within which it is pointed at
const parser = new DOMParser();

/** A group of our own drawing, as elements of this page; its lines keep their width. */
export function parsed(text) {
    const read = parser.parseFromString(`<svg xmlns="http://www.w3.org/2000/svg"><g>${text}</g></svg>`, "image/svg+xml");
    const group = document.importNode(read.documentElement.firstElementChild, true);
    for (const element of group.querySelectorAll("[id]")) element.removeAttribute("id");
    for (const path of group.querySelectorAll("path")) {
        path.setAttribute("stroke-width", Math.max(1, Number(path.getAttribute("stroke-width")) * PIXELS));
        path.setAttribute("vector-effect", "non-scaling-stroke");
        const dash = path.getAttribute("stroke-dasharray");
        if (dash) path.setAttribute("stroke-dasharray", dash.split(" ").map((one) => one * PIXELS).join(" "));
    }
    return group;
}

export class Sheet {
    constructor(host) {
        this.pieces = new Map();  // name -> {key, title, x, y, box, group}
        this.size = [100, 100];
        this.view = { x: 0, y: 0, scale: 1 };
        this.fitted = true;
        this.layers = Object.fromEntries(["held", "pieces", "titles", "moved", "story"].map((name) => [name, draw("g", { class: name })]));
        this.svg = draw("svg", { class: "sheet", "aria-hidden": "true" }, ...Object.values(this.layers));
        this.frame = make("div", {
            id: "sheet", tabIndex: 0, role: "application", ariaLabel: "Drawing of the pieces",
            "aria-describedby": "sheet-help",
        });
        this.frame.append(this.svg);
        host.append(
            this.frame,
            make("p", { id: "sheet-help", className: "unseen" },
                "Arrow keys move the drawing, plus and minus come nearer and go further, 0 shows all. Its lines are listed in Lines above."),
        );
        this.taken = () => {};
        this.pointed = () => {};
        this._pointers();
        this.frame.onkeydown = (event) => this._key(event);
        new ResizeObserver(() => (this.fitted ? this.fit() : this._look())).observe(this.frame);
        window.addEventListener("beforeprint", () => this.fit());
    }

    /** Key of each piece that is here. */
    have() {
        return Object.fromEntries([...this.pieces].map(([name, piece]) => [name, piece.key]));
    }

    clear() {
        this.pieces.clear();
        for (const layer of Object.values(this.layers)) layer.replaceChildren();
        this.fitted = true;
    }

    /** A new drawing; pieces whose drawing did not come are as they were. */
    take({ pieces, width, height }, resting) {
        const now = new Map();
        for (const piece of pieces) {
            const last = this.pieces.get(piece.name);
            const group = piece.svg === null ? last.group : parsed(piece.svg);
            group.setAttribute("data-at", piece.name);
            group.setAttribute("transform", `translate(${piece.x} ${piece.y})`);
            now.set(piece.name, { ...piece, svg: null, group });
        }
        this.pieces = now;
        this.layers.pieces.replaceChildren(...[...now.values()].map((piece) => piece.group));
        this._title();
        this.size = [width, height];
        if (this.fitted && resting) this.fit();
    }

    fit(box = [0, 0, ...this.size]) {
        const [left, top, right, low] = box;
        const { clientWidth: wide, clientHeight: high } = this.frame;
        if (!wide || !high) return;
        const scale = Math.min(wide / (right - left), high / (low - top));
        this.view = { scale, x: (left + right - wide / scale) / 2, y: (top + low - high / scale) / 2 };
        this.fitted = true;
        this._look();
    }

    /** Come nearer by a factor, about a point of the frame in pixels; about its middle where none is given. */
    zoom(by, px = this.frame.clientWidth / 2, py = this.frame.clientHeight / 2) {
        const { x, y, scale } = this.view;
        const to = Math.min(NEAREST, Math.max(0.02, scale * by));
        this.view = { scale: to, x: x + px / scale - px / to, y: y + py / scale - py / to };
        this.fitted = false;
        this._look();
    }

    pan(dx, dy) {
        this.view.x -= dx / this.view.scale;
        this.view.y -= dy / this.view.scale;
        this.fitted = false;
        this._look();
    }

    /** Bring a line into sight, where it is not. */
    reveal(element) {
        const line = element.getBoundingClientRect();
        const frame = this.frame.getBoundingClientRect();
        const inside = line.left >= frame.left && line.right <= frame.right && line.top >= frame.top && line.bottom <= frame.bottom;
        if (!inside) this.pan((frame.left + frame.right - line.left - line.right) / 2, (frame.top + frame.bottom - line.top - line.bottom) / 2);
    }

    _look() {
        const { x, y, scale } = this.view;
        const wide = this.frame.clientWidth / scale;
        const high = this.frame.clientHeight / scale;
        if (wide && high) this.svg.setAttribute("viewBox", `${x} ${y} ${wide} ${high}`);
        this.svg.classList.toggle("far", scale < FAR);
        this._title();
    }

    /** From afar each piece has its title, as large on the screen as words of the page; of two that would meet the first alone. */
    _title() {
        const { scale } = this.view;
        const shown = [];
        for (const { title, x, y, box } of scale < FAR ? this.pieces.values() : []) {
            const short = title.split(",")[0];
            const whole = [title, short].find((words) => (words.length * LETTER) / scale < box[2] - box[0]);
            const lines = whole ? [whole] : short.split(" ");
            const half = (Math.max(...lines.map((words) => words.length)) * LETTER) / 2 / scale;
            const one = { lines, half, high: (lines.length * LINE) / 2 / scale, x: x + (box[0] + box[2]) / 2, y: y + (box[1] + box[3]) / 2 };
            one.y = Math.max(one.y, one.high);  // within the sheet
            const free = (other) => Math.abs(other.x - one.x) > other.half + half || Math.abs(other.y - one.y) > other.high + one.high;
            if (shown.every(free)) shown.push(one);
        }
        const written = ({ lines, x, y, high }) => lines.map((words, k) =>
            draw("text", { x, y: y - high + ((k + 0.8) * LINE) / scale, "text-anchor": "middle", "font-size": 12 / scale, "stroke-width": 4 / scale }, words));
        this.layers.titles.replaceChildren(...shown.flatMap(written));
    }

    _key(event) {
        if (event.ctrlKey || event.altKey || event.metaKey) return;
        const far = event.shiftKey ? 200 : 40;
        const does = {
            ArrowLeft: () => this.pan(far, 0), ArrowRight: () => this.pan(-far, 0),
            ArrowUp: () => this.pan(0, far), ArrowDown: () => this.pan(0, -far),
            "+": () => this.zoom(1.3), "=": () => this.zoom(1.3), "-": () => this.zoom(1 / 1.3), 0: () => this.fit(),
        }[event.key];
        if (!does) return;
        event.preventDefault();
        does();
    }

    _pointers() {
        const down = new Map();
        let moved = false;
        let looking = 0;
        const place = (event) => {
            const box = this.frame.getBoundingClientRect();
            return [event.clientX - box.left, event.clientY - box.top];
        };
        this.frame.onpointerdown = (event) => {
            this.frame.setPointerCapture(event.pointerId);
            if (!down.size) moved = false;
            down.set(event.pointerId, place(event));
        };
        this.frame.onpointermove = (event) => {
            const last = down.get(event.pointerId);
            if (!last) {
                cancelAnimationFrame(looking);
                looking = requestAnimationFrame(() => this.pointed(this._under(event.clientX, event.clientY)));
                return;
            }
            const now = place(event);
            if (!moved && Math.hypot(now[0] - last[0], now[1] - last[1]) < 4) return;
            moved = true;
            if (down.size === 1) this.pan(now[0] - last[0], now[1] - last[1]);
            else {
                const [id] = [...down.keys()].filter((one) => one !== event.pointerId);
                const other = down.get(id);
                const apart = (one) => Math.hypot(one[0] - other[0], one[1] - other[1]);
                if (apart(last) > 1) this.zoom(apart(now) / apart(last), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
            }
            down.set(event.pointerId, now);
        };
        this.frame.onpointerup = (event) => {
            down.delete(event.pointerId);
            if (!moved && !down.size) this.taken(this._under(event.clientX, event.clientY));
        };
        this.frame.onpointerleave = () => this.pointed(null);
        this.frame.onpointercancel = (event) => down.delete(event.pointerId);
        this.frame.addEventListener("wheel", (event) => {
            event.preventDefault();
            this.zoom(Math.exp(-event.deltaY / 500), ...place(event));
        }, { passive: false });
    }

    /** The line nearest to a point of the window; null where none is near. */
    _under(x, y) {
        for (const far of [0, REACH / 3, (2 * REACH) / 3, REACH]) {
            for (let k = 0; k < (far ? 12 : 1); k += 1) {
                const turn = (k * Math.PI) / 6;
                const found = document.elementFromPoint(x + far * Math.cos(turn), y + far * Math.sin(turn));
                const line = found?.closest?.(".pieces path[data-line]");
                if (line) return line;
            }
        }
        return null;
    }
}
