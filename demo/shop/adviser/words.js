// What the adviser says, in the visitor's language: a table of words, and numbers, money and days as that language writes them.

export const LANGUAGES = ["en-GB", "en-US", "de", "fr"];
// Filled where the adviser is written as one file (one_adviser.py); else a table is fetched when it is spoken.
const TABLES = {};
const IN_INCHES = new Set(["en-GB", "en-US"]);
const PARTS = ["", "¼", "½", "¾"];

/** The language that is had and comes nearest to one of those asked for, the first that can be served; else British English. */
export function language(...asked) {
  for (const each of asked.flat().filter(Boolean)) {
    const exact = LANGUAGES.find((known) => known.toLowerCase() === each.toLowerCase());
    if (exact) return exact;
    const [base] = each.toLowerCase().split("-");
    const near = LANGUAGES.find((known) => known.split("-")[0] === base);
    if (near) return near;
  }
  return LANGUAGES[0];
}

/** The words of a language. Raises where its table cannot be had. */
export async function wordsOf(name) {
  if (TABLES[name]) return new Words(name, TABLES[name]);
  const answer = await fetch(new URL(`./words/${name}.json`, import.meta.url));
  if (!answer.ok) throw new Error(`no words: ${name}`);
  return new Words(name, await answer.json());
}

class Words {
  #table;
  #number;

  constructor(locale, words) {
    this.locale = locale;
    this.#table = words;
    this.#number = new Intl.NumberFormat(locale, { maximumFractionDigits: 1 });
  }

  /** The unit in which people of that language count a tape. */
  get unit() { return IN_INCHES.has(this.locale) ? "in" : "cm"; }
  get inPounds() { return this.locale === "en-US"; }

  of(name, said) { return `${name}${this.#table.colon}${said}`; }

  has(key) { return key in this.#table; }

  /** Words by their key, with facts in the place of {names}. */
  say(key, facts = {}) {
    return this.#table[key].replace(/\{(\w+)\}/g, (_, name) => facts[name]);
  }

  sentence(text) { return text.charAt(0).toLocaleUpperCase(this.locale) + text.slice(1); }

  list(items, type = "conjunction") { return new Intl.ListFormat(this.locale, { type }).format(items); }

  /** Whole minor units of a currency, which has 0, 2 or 3 decimals. */
  money({ minor, currency }) {
    const written = new Intl.NumberFormat(this.locale, { style: "currency", currency });
    const digits = written.resolvedOptions().maximumFractionDigits;
    return written.format(minor / 10 ** digits);
  }

  /** A day of the shop, as 2026-03-02. */
  day(iso) {
    const [year, month, day] = iso.split("-").map(Number);
    return new Intl.DateTimeFormat(this.locale, { weekday: "long", day: "numeric", month: "long", timeZone: "UTC" }).format(Date.UTC(year, month - 1, day));
  }

  /** Millimetres as the visitor counts: centimetres to the half, or inches to the quarter. */
  length(mm, unit) {
    const size = Math.abs(mm);
    if (unit !== "in") return this.say("in_cm", { n: this.#number.format(Math.max(Math.round(size / 5), 1) / 2) });
    return this.say("in_in", { n: this.#inches(size / 25.4) });
  }

  /** What a visitor typed, as it was read. */
  reading({ value, unit }, of) {
    if (of === "height" && unit === "in") return this.say("in_ft", { ft: Math.floor(value / 12), n: this.#inches(value % 12) });
    if (unit === "lb" && !this.inPounds) return this.say("in_st", { st: Math.floor(value / 14), n: this.#number.format(Math.round(value % 14)) });
    if (unit === "in") return this.say("in_in", { n: this.#inches(value) });
    return this.say(`in_${unit}`, { n: this.#number.format(value) });
  }

  #inches(value) {
    const quarters = Math.max(Math.round(value * 4), value ? 1 : 0);
    const whole = Math.floor(quarters / 4);
    return `${whole || !PARTS[quarters % 4] ? this.#number.format(whole) : ""}${PARTS[quarters % 4]}`;
  }
}
