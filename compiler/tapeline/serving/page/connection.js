// The one connection to the server: a WebSocket that is taken up again whenever it was lost.
//
// Messages of the language server protocol go through CodeMirror's client, which is connected anew to each socket.  What the page asks for
// itself has ids of its own ("desk-1") and is answered here.  A socket that is open but dead, as after a closed lid, is found by
// a beat: where nothing was heard for a while something is asked, and where no answer comes the socket is given up.

const BEAT = 5000;  // milliseconds without a message after which the server is asked whether it is there
const PATIENCE = 12000;  // for the answer
const STALE = [-32801, -32800];  // the text has changed since, or nobody wants to know any more

const handlers = new Map();
const waiting = new Map();
const listeners = new Set();
let client = null;
let socket = null;
let number = 0;
let heard = 0;
let retry = 0;
let beating = false;

/** Whether the server can be asked now. */
export let up = false;

/** Call `handler(params)` for every message of the server under this name. */
export function on(method, handler) {
    if (!handlers.has(method)) handlers.set(method, new Set());
    handlers.get(method).add(handler);
    return () => handlers.get(method).delete(handler);
}

/** Call `handler(up)` whenever the server is there or away. */
export function onLine(handler) {
    listeners.add(handler);
    return () => listeners.delete(handler);
}

/** The server's answer.  Rejected with `{code, message}`, or with an Error where the server is away. */
export async function request(method, params, patience = 60000) {
    if (!up) throw new Error("The server is away.");
    await client.initializing;  // so that what was opened before is open there before it is asked about
    if (!up) throw new Error("The server is away.");
    return ask(method, params, patience);
}

export function notify(method, params) {
    if (up) socket.send(JSON.stringify({ jsonrpc: "2.0", method, params }));
}

/** Whether a request failed only because the text has changed since. */
export function isStale(problem) {
    return STALE.includes(problem?.code);
}

function ask(method, params, patience) {
    const id = `desk-${++number}`;
    return new Promise((resolve, reject) => {
        const timer = setTimeout(() => settle(id, "reject", new Error("The server did not answer.")), patience);
        waiting.set(id, { resolve, reject, timer });
        socket.send(JSON.stringify({ jsonrpc: "2.0", id, method, params }));
    });
}

function settle(id, how, value) {
    const one = waiting.get(id);
    if (!one) return;
    waiting.delete(id);
    clearTimeout(one.timer);
    one[how](value);
}

/** Keep the client connected from now on. */
export function connect(lspClient) {
    client = lspClient;
    open();
    setInterval(beat, 1000);
    for (const sign of ["online", "pageshow", "focus"]) window.addEventListener(sign, look);
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && look());
}

function open() {
    clearTimeout(retry);
    const token = location.hash.slice(1);
    const one = new WebSocket(`ws://${location.host}/language?token=${encodeURIComponent(token)}`);
    const takers = new Set();
    socket = one;
    heard = Date.now();
    one.onopen = async () => {
        client.disconnect();
        client.connect({
            send: (text) => one.readyState === WebSocket.OPEN && one.send(text),
            subscribe: (taker) => takers.add(taker),
            unsubscribe: (taker) => takers.delete(taker),
        });
        await client.initializing;
        if (one !== socket) return;
        up = true;
        for (const listener of listeners) listener(true);
    };
    one.onmessage = (event) => {
        if (one !== socket) return;
        heard = Date.now();
        take(event.data, takers);
    };
    one.onclose = () => one === socket && lost();
}

function take(text, takers) {
    const message = JSON.parse(text);
    if (typeof message.id === "string" && message.id.startsWith("desk-") && !message.method) {
        if (message.error) settle(message.id, "reject", message.error);
        else settle(message.id, "resolve", message.result);
        return;
    }
    if (message.method && message.id === undefined) {
        for (const handler of handlers.get(message.method) ?? []) handler(message.params);
    }
    if (message.error && STALE.includes(message.error.code)) text = JSON.stringify({ jsonrpc: "2.0", id: message.id, result: null });
    for (const taker of takers) taker(text);
}

function lost() {
    const was = up;
    up = false;
    socket = null;
    for (const id of [...waiting.keys()]) settle(id, "reject", new Error("The server is away."));
    if (was) for (const listener of listeners) listener(false);
    retry = setTimeout(open, document.visibilityState === "visible" ? 700 : 5000);
}

function drop() {
    const one = socket;
    lost();
    one?.close();
}

async function beat(patience = PATIENCE) {
    if (!socket) return;
    if (!up) {
        if (Date.now() - heard > PATIENCE) drop();
        return;
    }
    if (beating || (patience === PATIENCE && Date.now() - heard < BEAT)) return;
    beating = true;
    const one = socket;
    try {
        await ask("tapeline/alive", {}, patience);
    } catch {
        if (one === socket) drop();
    } finally {
        beating = false;
    }
}

function look() {
    if (!socket) open();
    else beat(4000);
}
