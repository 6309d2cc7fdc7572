// What the adviser asks the fitting service. An error has a key of words for the visitor, and the faults of a refusal.

const PATIENCE_MS = 15_000;

export class Service {
  #element;
  #charts = new Map();
  #sizes;

  /** The element whose attributes say which service, which key and which charts. */
  constructor(element) { this.#element = element; }

  get charts() { return (this.#element.getAttribute("charts") ?? "").split(",").map((each) => each.trim()).filter(Boolean); }

  /** What the article is of: a check is matched at every seam, and takes longer. */
  get #article() { return Object.fromEntries(["cloth", "pattern", "lining", "style"].map((name) => [name, this.#element.getAttribute(name)]).filter(([, said]) => said)); }

  /** The document of an answer. Raises what `told` makes. */
  async #ask(path, body, more = {}) {
    const headers = { Authorization: `Bearer ${this.#element.getAttribute("key")}`, ...(body ? { "Content-Type": "application/json" } : {}), ...more };
    let answer;
    try {
      answer = await fetch(new URL(path, this.#element.getAttribute("api")), {
        headers, ...(body ? { method: "POST", body: JSON.stringify(body) } : {}), credentials: "omit", referrerPolicy: "no-referrer", signal: AbortSignal.timeout(PATIENCE_MS),
      });
    } catch {
      throw told("err_away");
    }
    const found = await answer.json().catch(() => null);
    if (answer.ok && found) return found;
    if (answer.status === 429) throw told("err_busy", { n: answer.headers.get("Retry-After") ?? 60 });
    throw answer.status === 422 ? told("err_refused", {}, found?.errors ?? []) : told("err_fault");
  }

  advise(question, unit) { return this.#ask(`/v1/size-advice?units=${unit}`, question); }

  /** What the work would be and when it could be ready; null where that cannot be had, for advice is good without it. */
  quote(asked) { return this.#ask("/v1/alteration-quotes", { ...asked, garments: asked.garments.map((each) => ({ ...each, ...this.#article })) }).catch(() => null); }

  /** Keep what the visitor said, for the fitter to go on from. */
  keep(asked) { return this.#ask("/v1/kept-advice", asked, { "Idempotency-Key": unguessable() }); }

  /** A chart, asked for once; null where it cannot be had. */
  chart(code) {
    if (!this.#charts.has(code)) {
      const found = this.#ask(`/v1/charts/${encodeURIComponent(code)}`).catch(() => { this.#charts.delete(code); return null; });
      this.#charts.set(code, found);
    }
    return this.#charts.get(code);
  }

  /** The shop's own labels and the size systems there are, as far as they can be had. */
  async sizes() {
    const [chart] = this.charts;
    const [found, systems] = await Promise.all([chart ? this.chart(chart) : null, (this.#sizes ??= this.#ask("/v1/designations").catch(() => { this.#sizes = undefined; return null; }))]);
    return { chart, own: found ? { jacket: found.jackets, trousers: found.trousers } : null, systems: systems?.systems ?? [] };
  }
}

/** A key for a request that makes something: `crypto.randomUUID` is not had on every page. */
const unguessable = () => [...crypto.getRandomValues(new Uint8Array(16))].map((each) => each.toString(16).padStart(2, "0")).join("");

function told(words, facts = {}, faults = []) {
  return Object.assign(new Error(words), { words, facts, faults });
}
