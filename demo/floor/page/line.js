// The line to the service: asking, and a queue for what changes something.
//
// What changes something is written into the queue, with an idempotency key of its own, before it is sent; it leaves the
// queue when the service has answered. So a tablet that lost the line, or was switched off, sends it once it can, with the
// same key, and the service does it once. It is sent by whoever typed it: it waits until they are signed in. What the
// service refuses is put aside with its words, for a person to look at.

const QUEUE = "floor.queue";
const AWAY = new Set([408, 425, 429, 500, 502, 503, 504]);
// The answer to If-None-Match: what is there already is what there is.
export const SAME = 304;
const FIRST_WAIT = 500;
const LONGEST_WAIT = 15000;

export class LineDown extends Error {}
export class Locked extends Error {}
export class Refused extends Error {
  constructor(problem) {
    super([problem.detail, ...(problem.errors ?? []).map((each) => each.detail)]
      .filter((each, at, all) => each && all.indexOf(each) === at).join(" "));
    this.problem = problem;
  }
}

class Line extends EventTarget {
  down = false;
  who = null;
  #waiters = new Map();
  #had = new Map();
  #sending = false;
  #timer = null;
  #failed = 0;
  #tries = 0;

  get queue() {
    return JSON.parse(localStorage.getItem(QUEUE) ?? "[]");
  }

  #keep(queue) {
    localStorage.setItem(QUEUE, JSON.stringify(queue));
    this.#changed();
  }

  #changed() {
    this.dispatchEvent(new Event("change"));
  }

  #is(down) {
    if (this.down !== down) {
      this.down = down;
      this.#changed();
    }
  }

  // One exchange. Raises LineDown, Locked or Refused.
  async ask(method, path, body, { accept = "application/json", headers = {}, as = "json" } = {}) {
    let answer;
    try {
      answer = await fetch(path, {
        method, credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout(30000),
        headers: { Accept: accept, ...(this.who ? { "Floor-By": this.who } : {}), ...(body === undefined ? {} : { "Content-Type": "application/json" }), ...headers },
        body: body === undefined ? undefined : JSON.stringify(body) });
    } catch {
      this.#is(true);
      this.#lookAgain();
      throw new LineDown("The line is down.");
    }
    const kind = answer.headers.get("Content-Type") ?? "";
    if (AWAY.has(answer.status) || !(kind.includes("json") || answer.ok || answer.status === SAME)) {
      this.#is(answer.status !== 429);
      this.#lookAgain(Number(answer.headers.get("Retry-After")) * 1000);
      throw new LineDown("The service does not answer just now.");
    }
    this.#is(false);
    if (answer.ok || answer.status === SAME) {
      const read = [204, SAME].includes(answer.status) ? null : await answer[as]();
      return { body: read, etag: answer.headers.get("ETag"), next: nextOf(answer.headers.get("Link")), status: answer.status };
    }
    const problem = await answer.json();
    if (problem.code === "locked") {
      this.dispatchEvent(new Event("locked"));
      throw new Locked("The tablet is locked.");
    }
    throw new Refused(problem);
  }

  get(path, more) {
    return this.ask("GET", path, undefined, more);
  }

  // What is large and seldom another: asked for whole once, and then whether it is still so.
  async kept(path) {
    const had = this.#had.get(path);
    const answer = await this.get(path, had && { headers: { "If-None-Match": had.etag } });
    if (answer.status === SAME) return had;
    if (answer.etag) this.#had.set(path, answer);
    return answer;
  }

  // Whatever was not answered is asked again by itself, later and later: the queue here, and each screen what it shows.
  #lookAgain(least = 0) {
    if (this.#timer) return;
    this.#tries = Date.now() - this.#failed < 3 * LONGEST_WAIT ? this.#tries + 1 : 0;
    this.#failed = Date.now();
    this.#timer = setTimeout(() => this.again(), Math.max(least || 0, Math.min(FIRST_WAIT * 2 ** this.#tries, LONGEST_WAIT)));
  }

  again() {
    clearTimeout(this.#timer);
    this.#timer = null;
    this.flush();
    this.dispatchEvent(new Event("again"));
  }

  // Changes something, through the queue. Raises Refused; or LineDown or Locked, and then it is kept and will be sent.
  // `first` is asked before it, and the id that comes of that goes into the body as `fills`.
  send(words, method, path, body, { ifMatch, first, fills } = {}) {
    const entry = { key: newKey(), by: this.who, words, method, path, body, ifMatch, at: new Date().toISOString() };
    const done = new Promise((resolve, reject) => this.#waiters.set(entry.key, { resolve, reject }));
    const before = first ? [{ ...first, key: newKey(), by: this.who, at: entry.at, fills: { key: entry.key, name: fills } }] : [];
    this.#keep([...this.queue, ...before, entry]);
    this.flush();
    return done;
  }

  discard(key) {
    this.#keep(this.queue.filter((each) => each.key !== key));
  }

  // Sends what waits, one after the other, as far as the line goes.
  async flush() {
    if (this.#sending) return;
    this.#sending = true;
    try {
      for (let entry; (entry = this.queue.find((each) => !each.refused && each.by === this.who)); ) await this.#sendOne(entry);
    } catch (problem) {
      for (const [key, waiter] of this.#waiters) {
        this.#waiters.delete(key);
        waiter.reject(problem);
      }
    } finally {
      this.#sending = false;
    }
  }

  async #sendOne(entry) {
    const headers = { "Idempotency-Key": entry.key, ...(entry.ifMatch ? { "If-Match": entry.ifMatch } : {}) };
    const waiter = this.#waiters.get(entry.key);
    try {
      const answer = await this.ask(entry.method, entry.path, entry.body, { headers });
      this.#keep(this.queue.filter((each) => each.key !== entry.key).map((each) => (each.key === entry.fills?.key
        ? { ...each, body: { ...each.body, [entry.fills.name]: answer.body.id } } : each)));
      this.#waiters.delete(entry.key);
      if (waiter) waiter.resolve(answer);
      else this.dispatchEvent(new CustomEvent("sent", { detail: { entry, body: answer.body } }));
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      const last = entry.fills?.key ?? entry.key;
      const waiting = this.#waiters.get(last);
      this.#waiters.delete(last);
      // What was to be made of it is not sent either.
      this.#keep(waiting ? this.queue.filter((each) => ![entry.key, last].includes(each.key)) : this.queue.filter((each) => each.key !== entry.key || each.key === last)
        .map((each) => (each.key === last ? { ...each, refused: problem.message } : each)));
      waiting?.reject(problem);
    }
  }
}

export const line = new Line();
addEventListener("online", () => line.again());

function nextOf(link) {
  return link?.includes('rel="next"') ? link.slice(1, link.indexOf(">")) : null;
}

// Not crypto.randomUUID: a tablet that asks over plain http in the shop's own net does not have it.
function newKey() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (each) => each.toString(16).padStart(2, "0")).join("");
}

// What was typed and is not placed yet, by who typed it: a locked or reloaded tablet goes on where they were.
export const drafts = {
  read: (name) => JSON.parse(localStorage.getItem(`floor.draft.${line.who}.${name}`) ?? "null"),
  keep: (name, value) => localStorage.setItem(`floor.draft.${line.who}.${name}`, JSON.stringify(value)),
  drop: (name) => localStorage.removeItem(`floor.draft.${line.who}.${name}`),
};
