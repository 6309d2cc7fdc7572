// The answer, in the words of a customer.

import { AT, MEASURED_ALONE, codePicture, el, figure, smallMark, tapeAt } from "./drawing.js";
import { cut, fault, instead, level, neighbours, places, row } from "./judging.js";

const SIZE_AND_LENGTH = /^(\d{2,3})\s*(?:XS|S|R|L|XL)$/i;
const AROUND = 2;
const COUNTED = { per_side: "mends_about_side", per_leg: "mends_about_leg" };

export class Answer {
  /** `shown` is {words, unit, advice, garments, chart, byHand, quote}: what was asked for and what came of it. */
  constructor(shown) {
    Object.assign(this, shown);
    this.plan = this.advice.plans[0];
    this.levels = this.plan ? this.garments.map((garment) => level(this.plan, garment)) : ["open"];
  }

  say(key, facts) { return this.words.say(key, facts); }
  /** Whether there is a size to take. */
  get serves() { return !this.levels.some((each) => each === "none" || each === "open"); }
  get isNone() { return this.levels.includes("none"); }
  get wantsMore() { return this.levels.some((each) => each === "guess" || each === "open"); }

  /** A size in words: 40 regular; as the label has it where that says no more. */
  size(garment, label) {
    const found = row(this.chart, garment, label).find((each) => each.label === label);
    const number = SIZE_AND_LENGTH.exec(label)?.[1];
    if (number && found) return `${number} ${this.say(`class_${found.length_class}`)}`;
    return garment === "trousers" && found && found.length_class !== "regular" && /^\d+$/.test(label) ? `${label} ${this.say(`class_${found.length_class}`)}` : label;
  }

  named(garment, label = this.plan[garment].label) {
    return this.words.sentence(this.say("garment_size", { garment: this.say(garment), size: this.size(garment, label) }));
  }

  sizes() {
    return this.words.list(this.garments.map((garment) => this.say("garment_size", { garment: this.say(garment), size: this.size(garment, this.plan[garment].label) })));
  }

  near(garment) { return neighbours(this.advice, garment, row(this.chart, garment, this.plan[garment].label)); }

  /** Its neighbours are of one length: their numbers say it all. */
  short(label) { return SIZE_AND_LENGTH.exec(label)?.[1] ?? label; }

  sentence(garment, how) {
    const it = this.named(garment);
    if (how === "none" || how === "open") return this.say(`sure_${how}`, { garment: this.words.sentence(this.say(garment)) });
    if (how !== "between") return this.say(`sure_${how}`, { it });
    const { low, high } = this.near(garment);
    const key = low && high ? "sure_between" : low ? "sure_low" : high ? "sure_high" : "sure_guess";
    return this.say(key, { it, low: low && this.short(low.label), high: high && this.short(high.label) });
  }

  heading() {
    // Among the one size that was picked there is nothing to be sure of: what it would mean is said below.
    if (this.byHand && this.plan) return this.garments.map((garment) => `${this.named(garment)}.`).join(" ");
    if (this.levels.every((each) => each === "open")) return this.say("no_size_yet");
    if (this.levels.every((each) => each === "none")) return this.say("no_size");
    return this.garments.map((garment, at) => `${this.sentence(garment, this.levels[at])}.`).join(" ");
  }

  /** The tape of sizes: what is possible is basted, ours is stitched. The words beside it say the same. */
  tape(garment, how) {
    const sizes = row(this.chart, garment, this.plan[garment].label);
    const at = sizes.findIndex((each) => each.label === this.plan[garment].label);
    if (at < 0) return null;
    const { low, high } = how === "sure" ? {} : this.near(garment);
    const from = Math.max(0, Math.min(at - AROUND, sizes.length - 2 * AROUND - 1));
    const name = (each) => (each.label === this.plan[garment].label ? `ours${["sure", "fairly"].includes(how) ? "" : " loose"}` : each === low || each === high ? "may" : "");
    return el("ol", { className: "tape", "aria-hidden": "true", part: "tape" }, sizes.slice(from, from + 2 * AROUND + 1).map((each) => el("li", { className: name(each) }, each.label)));
  }

  first(after) {
    return el("section", { part: "answer" }, el("h3", { tabIndex: -1 }, this.heading()), ...after, this.advice.warnings.some((each) => each.code === "outside_model") ? el("p", {}, this.say("no_size_yet_more")) : null,
      this.plan ? this.#how() : null, this.byHand ? null : this.isNone ? this.#noSize() : this.levels.every((each) => each === "open") ? null : this.#better(), this.serves ? this.#mends() : null, this.serves || this.isNone || this.byHand || this.nextMeasure() ? null : el("p", {}, this.say("instead_come")));
  }

  #how() {
    if (this.byHand) return el("div", { className: "garment" }, el("p", {}, this.#meant(this.byHand)), this.tape(this.byHand, "sure"));
    const isNamed = (how) => how !== "none" && how !== "open";
    const whys = this.levels.map((how) => (how === "guess" || how === "open" ? (this.nextMeasure() ? "why_guess" : "why_guess_last") : `why_${how}`));
    return this.garments.map((garment, at) => {
      const how = this.levels[at];
      const why = whys[at];
      const isSaid = whys.indexOf(why) === at;
      if (how === "none" || (how === "open" && !isSaid)) return null;
      return el("div", { className: "garment" }, el("p", { className: "hint" }, isNamed(how) ? el("strong", {}, this.words.sentence(this.say(garment))) : null, isNamed(how) && isSaid ? this.say("colon") : "", isSaid ? this.say(why) : ""), isNamed(how) ? this.tape(garment, how) : null);
    });
  }

  #meant(garment) {
    const faults = this.#faults(places(this.plan).filter((each) => each.garment === garment && each.misfit));
    const facts = { garment: this.words.sentence(this.say(garment)), size: this.size(garment, this.plan[garment].label) };
    return faults ? this.say("other_means", { ...facts, faults }) : this.say("other_fine", facts);
  }

  /** What is amiss, each kind once with all its places. */
  #faults(wrong) {
    const found = Object.groupBy(wrong.slice(0, 5), fault);
    return Object.entries(found).map(([kind, its]) => this.say(`fault_${kind}`, { at: this.words.list([...new Set(its.map((each) => this.#at(each)))]) })).join("; ");
  }

  #at(each) { return this.words.has(`at_${each.key}`) ? this.say(`at_${each.key}`) : this.say(each.garment); }
  #place(each) { return this.words.has(`place_${each.key}`) ? this.say(`place_${each.key}`) : this.say(each.garment); }

  #noSize() {
    const wrong = this.plan ? places(this.plan).filter((each) => each.misfit) : [];
    const faults = this.#faults(wrong);
    const ways = (this.advice.serves ? instead(this.advice.serves) : []).map(([key, facts]) => this.say(key, { garment: this.say(facts.garment ?? "jacket"), class: facts.length_class ? this.say(`class_${facts.length_class}`) : "" }));
    return el("div", {}, this.plan ? el("p", {}, this.say("no_size_more")) : null, faults ? el("p", {}, this.say("wrong_at", { places: faults })) : null,
      el("ul", {}, [...new Set([this.say("instead_come"), ...ways])].map((each) => el("li", {}, each))));
  }

  #better() {
    const named = !this.advice.serves ? undefined : cut(this.advice.serves.other_drop);
    return named ? el("p", { className: "notice" }, this.say(`better_${named}`)) : null;
  }

  /* ---------------- what is altered */

  work({ alteration, amount, basis, side, price, subject_to_inlay }) {
    const key = `work_${alteration}`;
    const its = side === "left" || side === "right" ? ` (${this.say(`side_${side}`)})` : "";
    const facts = { work: this.say(this.words.has(key) ? key : "work_other") + its, n: amount && this.words.length(amount.mm, this.unit), price: this.words.money(price) };
    const line = this.say(amount && alteration !== "trouser_hem" ? (COUNTED[basis] ?? "mends_about") : "mends_line", facts);
    return subject_to_inlay ? `${line} (${this.say("mends_inlay")})` : line;
  }

  #mends() {
    const found = this.plan.alterations;
    if (!found.length) return el("p", {}, this.say("mends_none"));
    const tax = { true: this.say("mends_tax_in"), false: this.say("mends_tax_out") }[this.advice.prices_include_tax];
    const sums = [found.length > 1 ? this.say("mends_all", { price: this.words.money(this.plan.price) }) : null, tax, this.quote ? this.say("mends_ready", { day: this.words.day(this.quote.earliest) }) : null, this.say("mends_first")];
    return el("div", {}, el("h4", {}, this.say("mends")), el("ul", {}, found.map((each) => el("li", {}, this.work(each)))), el("p", {}, sums.filter(Boolean).join(" ")));
  }

  /* ---------------- what more would settle, and why */

  nextMeasure(skipped = this.skipped) {
    const worth = (this.plan?.ranking.expected_cost.minor ?? 0) / 50;
    return this.advice.next_measures.find((each) => MEASURED_ALONE.includes(each.dimension) && !skipped.has(each.dimension) && each.ranking.gain.minor >= worth)?.dimension;
  }

  next(dimension, used, skip, fault_ = "") {
    const field = (id, words, hint) => el("div", { className: "field" }, el("label", { htmlFor: id }, words),
      el("input", { type: "text", id, name: id, autocomplete: "off", maxLength: 20, "aria-describedby": `wrong-${id}${hint ? ` hint-${id}` : ""}` }), hint ? el("p", { className: "hint", id: `hint-${id}` }, hint) : null,
      el("p", { className: "wrong", id: `wrong-${id}`, hidden: !fault_ }, fault_));
    const name = this.say(`measure_${dimension}`);
    return el("form", { className: "lead", part: "form next", noValidate: true, onsubmit: (event) => { event.preventDefault(); used(event.target.elements); } },
      el("h3", {}, this.say("next", { name })), el("div", { className: "how" }, tapeAt(dimension), el("div", {},
        el("p", {}, this.say(`how_${dimension}`), " ", this.say(this.words.has(`next_${dimension}`) && this.garments.length > 1 ? `next_${dimension}` : "next_other")),
        el("div", { className: "fields" }, field("first", this.words.sentence(name), this.say("tape_hint")), field("second", this.say("next_second"))),
        el("div", { className: "doing" }, el("button", { type: "submit", className: "first", part: "button first-button" }, this.say("next_use")), el("button", { type: "button", className: "plain", onclick: skip }, this.say("next_cannot"))))));
  }

  why() {
    const found = places(this.plan).map((each) => ({ ...each, at: AT[`${each.garment}/${each.place}`] }));
    const few = found.filter((each) => each.shown);
    const said = this.say("why_picture", { places: few.map((each) => this.#words(each)).join("; ") });
    const more = found.map((each) => el("li", {}, `${this.#words(each)}. `, el("span", { className: "hint" }, this.say("why_figure", { body: this.words.length(each.body_mm, this.unit), sd: this.words.length(each.sd_mm, this.unit), size: this.words.length(each.garment_mm, this.unit) }))));
    return el("section", { part: "why" }, el("h3", {}, this.say("why")), el("div", { className: "look" }, figure(few, this.garments, said), el("div", {},
      el("ol", { className: "places" }, few.map((each) => el("li", {}, smallMark(each.kind, each.number), el("p", {}, this.#words(each))))),
      el("details", {}, el("summary", {}, this.say("why_more")), el("ul", {}, more)), this.#unknown(found))));
  }

  #words(each) {
    const off = { fault: this.say(`is_${fault(each)}`), n: this.words.length(each.residual_mm, this.unit) };
    const isHem = each.alteration === "trouser_hem";
    const isOff = each.verdict !== "right" || Math.abs(each.residual_mm) >= 5;
    const state = { right: "why_right", maybe: "why_maybe", work: isHem ? "why_hem" : isOff ? "why_work" : "why_work_only", wrong: "why_wrong" }[each.kind];
    return this.words.of(this.words.sentence(this.#place(each)), this.say(state, off));
  }

  #unknown(found) {
    const guessed = found.filter((each) => !each.seen).length;
    const lines = [guessed ? this.say("unknown_guessed", { n: guessed, m: found.length }) : null, this.say("unknown_posture"), this.say("unknown_men"), this.say("unknown_kept")];
    return el("details", {}, el("summary", {}, this.say("unknown")), el("ul", {}, lines.filter(Boolean).map((each) => el("li", {}, each))));
  }

  /** The code for the shop, in letters and as a picture. */
  code(kept) {
    return el("div", {}, el("p", {}, this.say("code_is")), el("p", { className: "code", part: "code" }, kept.code), codePicture(kept.qr, kept.code),
      el("p", { className: "hint" }, this.say("code_until", { day: this.words.day(kept.kept_until) })));
  }
}
