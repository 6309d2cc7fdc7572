// The opening: what the visitor knows, on three short paths; any may be added later.

import { el } from "./drawing.js";
import { readHeight, readTape, readWeight } from "./typing.js";

// The middle of each decade; beyond the youngest and oldest that the service estimates, an age within it.
const AGES = [["under_20", 18], ...[20, 30, 40, 50, 60, 70].map((from) => [from, from + 5]), ["over_80", 83]];
const PATHS = { tape: ["chest_girth", "trouser_waist_girth", "height"], size: ["label_jacket", "label_trousers", "whose", "height"], body: ["height", "weight", "age"] };
const TAPED = ["chest_girth", "trouser_waist_girth"];
// Size systems of the service by the name that customers have for them. A system that has none here is not offered.
const FAMILIES = { inch: ["inch_jacket", "inch_trouser"], continental: ["german", "eu_jacket", "eu_trouser"], letter: ["en_letter"], cm: ["en_chest_waist"], jis: ["jis_l_4004"], gb: ["gb_t_1335_1"] };

export const familyOf = (system) => Object.keys(FAMILIES).find((family) => FAMILIES[family].includes(system));

/** The system of a family that labels of a garment are written in; undefined where it has none. */
export const systemOf = (systems, family, garment) => systems.find((each) => FAMILIES[family]?.includes(each.system) && each.garments.includes(garment));

export const ageWords = (words, years) => {
  const [from] = AGES.find(([, middle]) => middle === years);
  return typeof from === "number" ? words.say("age_decade", { n: from, m: from + 9 }) : words.say(`age_${from}`);
};

export class Opening {
  #words;
  #known;
  #sizes;

  /** `known` is what was said before; `sizes` gives {own, systems} of the service; `done` is called with what is known then. */
  constructor(words, known, sizes, done) {
    this.#words = words;
    this.#known = known;
    this.#sizes = sizes;
    this.#build(done);
  }

  #build(done) {
    const say = (key, facts) => this.#words.say(key, facts);
    const path = (name) => el("label", {}, el("input", { type: "radio", name: "path", value: name, checked: name === this.#known.path, onchange: () => this.#show(name) }),
      say(`know_${name}`), el("small", {}, say(`know_${name}_how`)));
    const unit = (name, words) => el("label", {}, el("input", { type: "radio", name: "unit", value: name, checked: name === (this.#known.unit ?? this.#words.unit) }), say(words));
    this.counted = el("fieldset", { className: "switch" }, el("legend", {}, say("count_in")), unit("in", "in_inches"), unit("cm", "in_centimetres"));
    this.fields = Object.fromEntries(TAPED.map((name) => [name, this.#text(name, this.#words.sentence(say(`measure_${name}`)), say("tape_hint"))]));
    for (const name of ["height", "weight"]) this.fields[name] = this.#text(name, say(name), say(`${name}_hint`));
    for (const garment of ["jacket", "trousers"]) this.fields[`label_${garment}`] = this.#text(`label_${garment}`, say(`label_${garment}`), "");
    this.fields.whose = this.#choice("whose", say("whose"), []);
    this.fields.age = this.#choice("age", say("age"), [["", say("age_not_said")], ...AGES.map(([, years]) => [years, ageWords(this.#words, years)])], this.#known.age ?? "");
    this.input("whose").addEventListener("change", () => this.#hintLabels());
    this.box = el("div", { className: "fields" }, Object.values(this.fields));
    this.form = el("form", { part: "form", noValidate: true, onsubmit: (event) => { event.preventDefault(); const found = this.#read(); if (found) done(found); } },
      el("fieldset", {}, el("legend", {}, say("know")), el("div", { className: "paths" }, Object.keys(PATHS).map(path))),
      this.counted, this.box, el("p", { className: "hint" }, say("know_note")),
      el("div", { className: "doing" }, el("button", { type: "submit", className: "first", part: "button first-button" }, say("find"))));
    for (const [name, field] of Object.entries(this.#known.typed ?? {})) this.input(name).value = field;
    this.#show(this.#known.path);
  }

  input(name) { return this.fields[name].querySelector("input, select"); }

  #text(name, words, hint) {
    return el("div", { className: "field" }, el("label", { htmlFor: name }, words),
      el("input", { type: "text", id: name, name, autocomplete: "off", autocapitalize: "off", spellcheck: false, maxLength: 20, "aria-describedby": `wrong-${name} hint-${name}`, oninput: () => this.wrong(name, "") }),
      el("p", { className: "hint", id: `hint-${name}` }, hint), el("p", { className: "wrong", id: `wrong-${name}`, hidden: true }), el("div", { className: "doing", id: `ask-${name}`, hidden: true }));
  }

  #choice(name, words, options, value = "") {
    const select = el("select", { id: name, name }, options.map(([each, its]) => el("option", { value: each }, its)));
    select.value = value;
    return el("div", { className: "field" }, el("label", { htmlFor: name }, words), select);
  }

  async #show(path) {
    this.#known.path = path;
    for (const [name, field] of Object.entries(this.fields)) field.hidden = !PATHS[path].includes(name);
    this.counted.hidden = path !== "tape";
    // The fields in the order of the path, so that a keyboard goes as the eye does.
    this.box.append(...PATHS[path].map((name) => this.fields[name]));
    if (path !== "size") return;
    this.sizes = await this.#sizes();
    const families = Object.keys(FAMILIES).filter((family) => ["jacket", "trousers"].some((garment) => systemOf(this.sizes.systems, family, garment)));
    const options = [["", "whose_unsure"], ...(this.sizes.own ? [["own", "whose_own"]] : []), ...families.map((family) => [family, `family_${family}`])];
    this.input("whose").replaceChildren(...options.map(([value, words]) => el("option", { value }, this.#words.say(words))));
    this.input("whose").value = this.#known.whose ?? "";
    this.#hintLabels();
  }

  /** Labels to write like, of the sizes that were chosen. */
  #examples(garment) {
    const whose = this.input("whose").value;
    if (whose === "own") {
      const own = this.sizes.own[garment];
      return own.length ? [own[Math.floor(own.length / 2)].label, own.at(-1).label] : [];
    }
    const families = whose ? [whose] : ["inch", "continental"];
    return families.map((family) => systemOf(this.sizes?.systems ?? [], family, garment)?.example).filter(Boolean);
  }

  #hintLabels() {
    for (const garment of ["jacket", "trousers"]) {
      const examples = this.#examples(garment);
      this.fields[`label_${garment}`].querySelector(".hint").textContent = examples.length ? this.#words.say("label_hint", { examples: this.#words.list(examples, "disjunction") }) : "";
    }
  }

  /** Say beside a field what is wrong with it; nothing takes it back. `ways` are what may be meant, each a tap. */
  wrong(name, words, ways = []) {
    const [said, asked] = ["wrong", "ask"].map((what) => this.fields[name].querySelector(`#${what}-${name}`));
    this.input(name).setAttribute("aria-invalid", words ? "true" : "false");
    Object.assign(said, { textContent: words, hidden: !words });
    asked.replaceChildren(...ways.map((way) => el("button", { type: "button", part: "button", onclick: () => this.#meant(name, way) }, this.#words.say("yes_meant", { meant: this.#words.reading(way, name) }))));
    asked.hidden = !ways.length;
  }

  #meant(name, { value, unit }) {
    this.input(name).value = unit === "in" && name === "height" ? `${Math.floor(value / 12)}'${Math.round((value % 12) * 100) / 100}` : `${value} ${unit}`;
    this.wrong(name, "");
    this.form.requestSubmit();
  }

  /** What a label that the service could not read should look like. */
  wrongLabel(garment) {
    const own = this.input("whose").value === "own";
    this.wrong(`label_${garment}`, this.#words.say(own ? "label_wrong_own" : "label_wrong", { examples: this.#words.list(this.#examples(garment), "disjunction") }));
  }

  /** What is known now, or null where something is wrong: then it is said beside it, and has the focus. */
  #read() {
    const path = this.#known.path;
    const unit = this.form.elements.unit.value;
    const readers = { height: readHeight, weight: (text) => readWeight(text, this.#words.inPounds), ...Object.fromEntries(TAPED.map((name) => [name, (text) => readTape(text, unit)])) };
    const found = { ...this.#known, path, unit: unit === this.#words.unit ? undefined : unit, typed: {}, taped: { ...this.#known.taped }, wears: {}, whose: this.input("whose").value, age: Number(this.input("age").value) || undefined };
    const wrong = [];
    for (const [name, read] of Object.entries(readers)) {
      const text = this.input(name).value;
      this.wrong(name, "");
      if (TAPED.includes(name)) { if (this.#known.typed?.[name]) delete found.taped[name]; } else delete found[name];
      if (!text.trim()) continue;
      found.typed[name] = text;
      const value = read(text);
      const words = TAPED.includes(name) ? "tape_wrong" : `${name}_wrong`;
      if (!value) wrong.push(name), this.wrong(name, this.#words.say(words));
      else if (value.ask) wrong.push(name), this.wrong(name, this.#words.say("did_you_mean", { what: this.#words.list(value.ask.map((way) => this.#words.reading(way, name)), "disjunction") }), value.ask);
      else if (TAPED.includes(name)) found.taped[name] = value;
      else found[name] = value;
    }
    for (const garment of ["jacket", "trousers"]) this.#readLabel(garment, found, wrong);
    if (!wrong.length && !found.height && !found.weight && !Object.keys(found.taped).length && !Object.keys(found.wears).length) {
      wrong.push(PATHS[path][0]);
      this.wrong(PATHS[path][0], this.#words.say("nothing_said"));
    }
    // What is wrong may be on another path: the visitor is taken there.
    if (wrong.length && !wrong.some((name) => PATHS[path].includes(name))) this.#goTo(wrong[0]);
    if (!wrong.length) return found;
    this.input(wrong.find((name) => PATHS[this.#known.path].includes(name))).focus();
    return null;
  }

  /** Show the path that has a field. */
  #goTo(name) {
    const path = Object.keys(PATHS).find((each) => PATHS[each].includes(name));
    this.form.querySelector(`[name=path][value=${path}]`).checked = true;
    this.#show(path);
  }

  #readLabel(garment, found, wrong) {
    const name = `label_${garment}`;
    const label = this.input(name).value.trim();
    this.wrong(name, "");
    if (!label) return;
    found.typed[name] = label;
    const bare = (text) => text.toLowerCase().replace(/\s/g, "");
    const own = found.whose === "own" ? this.sizes.own[garment].find((each) => bare(each.label) === bare(label)) : null;
    const system = found.whose && found.whose !== "own" ? systemOf(this.sizes.systems, found.whose, garment) : null;
    if ((found.whose === "own" && !own) || (found.whose && found.whose !== "own" && !system)) wrong.push(name), this.wrongLabel(garment);
    else found.wears[garment] = own ? { chart: this.sizes.chart, label: own.label } : { label, ...(system ? { system: system.system } : {}) };
  }
}
