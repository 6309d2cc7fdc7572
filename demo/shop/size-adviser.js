/* A size adviser for a shop's page: this file and the folder adviser/ beside it, without build step or library.

   <script src="size-adviser.js" type="module"></script>
   <size-adviser api="https://fitting.example" key="a web key of this page's origin" charts="everyday"></size-adviser>

   Its attributes, its look and the event `size-chosen`: README.md. It keeps nothing, and the service nothing unless asked. */

import { Answer } from "./adviser/answer.js";
import { el } from "./adviser/drawing.js";
import { GARMENTS, quoteOf } from "./adviser/judging.js";
import { LOOK } from "./adviser/look.js";
import { Opening, ageWords, familyOf } from "./adviser/opening.js";
import { Service } from "./adviser/service.js";
import { readTape } from "./adviser/typing.js";
import { language, wordsOf } from "./adviser/words.js";

const PLANS = 6;
const KEPT_DAYS = 14;
const SAID = { stature: "height", body_mass: "weight" };

class SizeAdviser extends HTMLElement {
  static observedAttributes = ["lang"];
  #known = { path: "tape", taped: {}, wears: {}, wish: "usual", both: "suit", byHand: null };
  #skipped = new Set();
  #confirmed = new Set();
  #asking = 0;
  #language;
  #words;

  connectedCallback() {
    if (this.shadowRoot) return;
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(LOOK);
    this.attachShadow({ mode: "open" }).adoptedStyleSheets = [sheet];
    this.#service = new Service(this);
    this.#open();
  }

  attributeChangedCallback() { if (this.shadowRoot) this.#open(); }

  #service;
  #say(key, facts) { return this.#words.say(key, facts); }
  /** How the visitor counts a tape: as they chose, else as their language does. */
  get #unit() { return this.#known.unit ?? this.#words.unit; }

  /** Draw it in the language of the page; what was said before stays said. */
  async #open() {
    const asked = (this.#language = language(this.lang, this.closest("[lang]")?.lang, navigator.languages));
    const words = await wordsOf(asked).catch(() => null);
    // Another may have been asked for meanwhile, and come first.
    if (asked !== this.#language) return;
    if (!words) return this.shadowRoot.replaceChildren(el("slot"));
    this.#words = words;
    this.root = el("div", { lang: asked });
    this.status = el("p", { role: "status", className: "hint" });
    this.said = el("div", { className: "said" });
    this.result = el("div", { className: "answer" });
    this.place = el("div", {});
    this.root.append(el("h2", { part: "title" }, this.#say("title")), this.said, this.place, this.status, this.result);
    this.shadowRoot.replaceChildren(this.root);
    if (this.#isAsked) await this.#advise();
    else this.#ask();
  }

  #isAsked = false;

  /** Put the opening; what was answered to other answers goes. */
  #ask() {
    this.#asking++;
    this.opening = new Opening(this.#words, this.#known, () => this.#service.sizes(), (found) => {
      this.#known = found;
      this.#known.byHand = null;
      this.#skipped = new Set();
      this.#confirmed = new Set();
      this.#advise();
    });
    this.place.replaceChildren(this.opening.form);
    this.said.replaceChildren();
    this.#settle();
  }

  #settle(...shown) {
    this.status.textContent = "";
    this.result.removeAttribute("aria-busy");
    this.result.inert = false;
    this.result.replaceChildren(...shown);
  }

  #again() {
    this.#isAsked = false;
    this.#ask();
    this.opening.form.querySelector(":checked").focus();
  }

  /* ---------------- the question */

  /** The question to the service, and where each reading of it came from. */
  #question() {
    const { height, weight, age, taped, wears, wish, both, byHand } = this.#known;
    const said = [["stature", height], ["body_mass", weight]].filter(([, found]) => found).map(([dimension, found]) => ({ dimension, value: found.value, unit: found.unit, source: "self_reported" }));
    const measured = Object.entries(taped).map(([dimension, { value, unit, repeats }]) => ({ dimension, value, unit, source: "self_measured", ...(repeats ? { repeats } : {}) }));
    const garments = GARMENTS[both];
    const worn = Object.entries(wears).map(([garment, found]) => ({ garment, how: "says", ...found }));
    const stock = byHand ? Object.fromEntries(Object.entries(byHand.sizes).map(([garment, size]) => [garment === "jacket" ? "jackets" : "trousers", [{ chart: size.chart, label: size.label }]])) : null;
    return {
      readings: [...said, ...measured], ...(worn.length ? { wears: worn } : {}), ...(age ? { age_years: age } : {}), ...(this.#service.charts.length ? { charts: this.#service.charts } : {}),
      garments, wish, limit: PLANS, advice_ids: true, ...(stock ? { stock } : {}),
    };
  }

  async #advise(then = () => this.result.querySelector("h3")?.focus()) {
    const asking = ++this.#asking;
    const isOver = () => asking !== this.#asking;
    this.#isAsked = true;
    this.place.replaceChildren();
    this.#showSaid();
    this.status.textContent = this.#say("looking");
    this.result.setAttribute("aria-busy", "true");
    this.result.inert = true;
    const question = this.#question();
    let shown;
    try {
      const advice = await this.#service.advise(question, this.#unit);
      const plan = advice.plans[0];
      const chart = plan ? await this.#service.chart(plan[question.garments[0]].chart) : null;
      const answer = new Answer({ words: this.#words, unit: this.#unit, advice, garments: question.garments, chart, byHand: this.#known.byHand?.garment, skipped: this.#skipped });
      if (plan && answer.serves && plan.alterations.length) answer.quote = await this.#service.quote(quoteOf(plan, question.garments));
      if (isOver()) return;
      // Not before: a later question may have been answered meanwhile.
      this.answer = answer;
      shown = this.#shown(question);
    } catch (error) {
      if (isOver()) return;
      shown = this.#refused(error, question);
    }
    this.#settle(...shown.filter(Boolean));
    then();
  }

  /** What went wrong, in words; what the service could not read is said at its field. */
  #refused(error, question) {
    for (const { pointer } of error.faults ?? []) {
      const [, kind, at] = pointer.split("/");
      const name = kind === "readings" ? (SAID[question.readings[at]?.dimension] ?? question.readings[at]?.dimension) : null;
      if (kind !== "wears" && !(name && this.opening?.fields[name])) continue;
      this.#isAsked = false;
      this.#ask();
      if (kind === "wears") this.opening.wrongLabel(question.wears[at].garment);
      else this.opening.wrong(name, this.#say(name in this.#known.taped ? "tape_wrong" : `${name}_wrong`));
      this.opening.input(kind === "wears" ? `label_${question.wears[at].garment}` : name).focus();
      return [];
    }
    return [el("section", { role: "alert" }, el("h3", { tabIndex: -1 }, this.#say("err_title")), el("p", {}, this.#say(error.words ?? "err_fault", error.facts)),
      el("div", { className: "doing" }, el("button", { type: "button", className: "first", part: "button first-button", onclick: () => this.#advise() }, this.#say("again")),
        el("button", { type: "button", part: "button", onclick: () => this.#again() }, this.#say("change"))))];
  }

  /* ---------------- the answer */

  #showSaid() {
    const { height, weight, age, taped, wears } = this.#known;
    const say = (key, facts) => this.#say(key, facts);
    const all = [
      height && say("said_height", { n: this.#words.reading(height, "height") }), weight && say("said_weight", { n: this.#words.reading(weight, "weight") }), age && say("said_age", { n: ageWords(this.#words, age) }),
      ...Object.entries(wears).map(([garment, { label }]) => say(`said_wears_${garment}`, { label })),
      ...Object.entries(taped).map(([dimension, found]) => say("said_taped", { name: say(`measure_${dimension}`), n: this.#words.reading(found, dimension) })),
    ].filter(Boolean);
    this.said.replaceChildren(el("span", {}, this.#words.of(say("you_said"), all.join(" · "))), el("button", { type: "button", className: "plain", onclick: () => this.#again() }, say("change")));
  }

  #shown(question) {
    const { answer } = this;
    const dimension = answer.nextMeasure();
    const next = dimension ? answer.next(dimension, (fields) => this.#measured(fields, dimension), () => { this.#skipped.add(dimension); this.#advise(); }) : null;
    if (!answer.plan) return [answer.first(this.#meant(question)), next];
    const first = answer.first(this.#meant(question));
    if (answer.serves) first.append(this.#taking());
    // Where it is a guess, what would settle it comes before how else one might have it.
    const choices = this.#choices();
    return answer.wantsMore ? [first, next, choices, answer.why()] : [first, choices, next, answer.why()];
  }

  /** What the service asks back: which unit, or which size system was meant; each a tap. */
  #meant(question) {
    const taps = (words, ...buttons) => el("div", { className: "notice" }, el("p", {}, words), el("div", { className: "doing" }, buttons.map(([its, tapped]) => el("button", { type: "button", part: "button", onclick: tapped }, its))));
    return this.answer.advice.warnings.flatMap(({ code, pointer, facts }) => {
      const [, , at] = pointer.split("/");
      if (code === "did_you_mean" && !this.#confirmed.has(facts.given)) {
        const { dimension } = question.readings[at];
        const [value, unit] = facts.meant.split(" ");
        const meant = { value: Number(value), unit };
        const as = (found) => this.#words.reading(found, SAID[dimension]);
        const keep = () => { this.#confirmed.add(facts.given); this.#advise(); };
        return [taps(this.#say("did_you_mean", { what: as(meant) }), [this.#say("yes_meant", { meant: as(meant) }), () => this.#correct(dimension, meant)], [this.#say("no_as_given", { given: as(question.readings[at]) }), keep])];
      }
      if (code === "which_size_system") {
        const { garment, label } = question.wears[at];
        const families = [...new Set(facts.candidates.map(familyOf))].filter(Boolean);
        const set = (family) => { this.#known.wears[garment] = { label, system: facts.candidates.find((each) => familyOf(each) === family) }; this.#advise(); };
        return [taps(this.#say("which_system", { label, garment: this.#say(garment) }), ...families.map((family) => [this.#say(`family_${family}`), () => set(family)]))];
      }
      if (code === "reading_unlikely") {
        const { dimension, value, unit } = question.readings[at];
        const name = SAID[dimension] ?? `measure_${dimension}`;
        return [el("p", { className: "notice" }, this.#words.of(this.#say("look_again"), this.#say("look_again_reading", { what: `${this.#words.sentence(this.#say(name))} (${this.#words.reading({ value, unit }, SAID[dimension])})` })))];
      }
      return [];
    });
  }

  #correct(dimension, { value, unit }) {
    const name = SAID[dimension];
    if (name) this.#known[name] = { value, unit };
    else this.#known.taped[dimension] = { value, unit };
    if (this.#known.typed && (name ?? dimension) in this.#known.typed) this.#known.typed[name ?? dimension] = `${value} ${unit}`;
    this.#advise();
  }

  #measured({ first, second }, dimension) {
    const read = (input, isNeeded) => {
      const found = input.value.trim() ? readTape(input.value, this.#unit) : null;
      const isRight = input.value.trim() ? found && !found.ask : !isNeeded;
      const said = this.shadowRoot.getElementById(`wrong-${input.id}`);
      input.setAttribute("aria-invalid", String(!isRight));
      Object.assign(said, { hidden: isRight, textContent: isRight ? "" : this.#say("tape_wrong") });
      return isRight ? found : undefined;
    };
    const [one, two] = [read(first, true), read(second, false)];
    if (one === undefined || two === undefined) return (one === undefined ? first : second).focus();
    const twice = two && two.unit === one.unit ? { repeats: [two.value] } : {};
    this.#known.taped[dimension] = { ...one, ...twice };
    return this.#advise();
  }

  /** How close, both or one, and another size by hand. */
  #choices() {
    const set = (change) => { Object.assign(this.#known, change); this.#advise(() => this.result.querySelector("h3")?.focus()); };
    const row = (legend, name, values, change) => el("fieldset", { className: "switch" }, el("legend", {}, this.#say(legend)), values.map((value) =>
      el("label", {}, el("input", { type: "radio", name, value, checked: this.#known[name] === value, onchange: () => set({ [name]: value, byHand: null, ...change }) }), this.#say(`${name}_${value}`))));
    const { answer } = this;
    const pick = (garment) => {
      const sizes = answer.chart ? { jacket: answer.chart.jackets, trousers: answer.chart.trousers }[garment] : [];
      const ours = this.#known.byHand?.ours ?? Object.fromEntries(answer.garments.map((each) => [each, answer.plan[each]]));
      const chosen = answer.plan[garment].label;
      const take = ({ target }) => {
        const sizes_ = { ...Object.fromEntries(answer.garments.map((each) => [each, ours[each]])), [garment]: { chart: answer.chart.chart, label: target.value } };
        set({ byHand: target.value === ours[garment].label ? null : { garment, sizes: sizes_, ours } });
      };
      return sizes.length ? el("div", { className: "field select" }, el("label", { htmlFor: `other-${garment}` }, this.#say(`other_${garment}`)),
        el("select", { id: `other-${garment}`, onchange: take }, sizes.map(({ label }) => el("option", { value: label, selected: label === chosen }, label === ours[garment].label ? this.#say("other_ours", { label }) : label)))) : null;
    };
    return el("section", { part: "choices" }, row("wish", "wish", ["close", "usual", "easy"]), row("both", "both", ["suit", "jacket", "trousers"]), el("div", { className: "fields" }, answer.garments.map(pick)));
  }

  /* ---------------- taking it */

  #taking() {
    const { answer } = this;
    const key = answer.wantsMore ? "take_anyway" : "take";
    const place = el("div", { className: "doing" }, el("button", { type: "button", className: answer.wantsMore ? "" : "first", part: answer.wantsMore ? "button" : "button first-button", onclick: () => this.#take(place) }, this.#say(key, { sizes: answer.sizes() })));
    return place;
  }

  #take(place) {
    const { answer } = this;
    const { plan, advice, garments } = answer;
    const sure = (of) => (this.#known.byHand || !of ? null : of.best);
    const detail = {
      ...Object.fromEntries(["jacket", "trousers"].map((garment) => [garment, garments.includes(garment) ? plan[garment] : null])),
      alterations: plan.alterations.map(({ garment, alteration, amount, basis, direction, side, price, seen }) => ({ garment, alteration, amount, basis, direction, side, price, seen })),
      price: plan.price, prices_include_tax: advice.prices_include_tax, ready_by: answer.quote?.earliest ?? null, wish: this.#known.wish, by_hand: Boolean(this.#known.byHand),
      how_sure: { together: sure(plan.confidence.together), jacket: sure(plan.confidence.jacket), trousers: sure(plan.confidence.trousers) }, advice_id: plan.advice_id,
    };
    const words = el("p", { tabIndex: -1 }, el("strong", {}, this.#say("taken", { sizes: answer.sizes() })), " ", plan.price.minor ? this.#say("taken_price", { price: this.#words.money(plan.price) }) : "");
    const offer = plan.advice_id ? el("div", {}, el("p", { className: "hint" }, this.#say("code_offer", { days: KEPT_DAYS })), el("button", { type: "button", part: "button", onclick: () => this.#keep(offer) }, this.#say("code_ask"))) : null;
    place.replaceWith(el("div", { className: "notice", part: "taken" }, words, offer, el("div", { className: "doing" }, el("button", { type: "button", className: "plain", onclick: () => print() }, this.#say("print")))));
    words.focus();
    this.dispatchEvent(new CustomEvent("size-chosen", { bubbles: true, composed: true, detail }));
  }

  /** Only where the visitor asks for it is what they said kept. */
  async #keep(offer) {
    const question = this.#question();
    const { advice_ids: _, stock: __, limit: ___, ...asked } = question;
    try {
      const kept = await this.#service.keep({ advice_id: this.answer.plan.advice_id, asked: { ...asked, population_version: this.answer.advice.population_version } });
      offer.replaceChildren(this.answer.code(kept));
    } catch {
      offer.append(el("p", { className: "wrong", role: "alert" }, this.#say("err_code")));
    }
  }
}

customElements.define("size-adviser", SizeAdviser);
