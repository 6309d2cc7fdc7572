// One order on the screen: its pieces, lines and measures, what may be done next, and who did what. For bench and counter.

import { announce, button, h, redraw } from "./dom.js";
import { asText, asValue, isTyped, nothingTyped } from "./keypad.js";
import { line, LineDown, Locked, SAME } from "./line.js";
import { noteButton, notePanel } from "./bench-notes.js";
import { groupOf } from "./group-of.js";
import { changeButton, changePanel } from "./line-changes.js";
import { following } from "./live.js";
import { moveButtons, moveQuestions } from "./moves.js";
import { showPaper } from "./papers.js";
import { capital, count, day, hour, money, plain, SIDE, STATE } from "./wording.js";

// Where the answer says what to mind about what was just kept.
const WARNS = /\/(bench-notes|line-changes)\?/;

export class OrderSheet extends HTMLElement {
  connectedCallback() {
    this.className = "order-sheet";
    this.said = "";
    this.stop = following(this, () => this.load(), (news) => !news.order || news.order === this.order_id);
    this.load();
  }

  disconnectedCallback() {
    this.stop?.();
  }

  async load() {
    const asked = (this.loading = Symbol("load"));
    try {
      const charges = () => line.get(`/v1/orders/${this.order_id}/charges`);
      const counter = this.at === "counter";
      const had = this.order && { headers: { "If-None-Match": this.etag } };
      const [answer, first] = await Promise.all([line.get(`/v1/orders/${this.order_id}?units=in`, had || {}), counter && !had && charges()]);
      const { body: order, etag } = answer.status === SAME ? { body: this.order, etag: this.etag } : answer;
      const charged = first || (counter && this.chargedAs !== etag ? await charges() : null);
      // Only what was asked for last is shown: an older answer that comes late has an older version.
      if (asked !== this.loading) return;
      Object.assign(this, { order, etag, failed: "" }, charged ? { charges: charged.body, chargedAs: etag } : {});
    } catch (problem) {
      // The line's own bar says that it is down; what is here stays.
      if (problem instanceof Locked || (problem instanceof LineDown && this.order)) return;
      this.failed = problem.message;
    }
    this.draw();
  }

  say(words) {
    this.said = words;
    this.draw();
  }

  // Other pieces that may go the same way now.
  others(piece, to) {
    return this.order.garments.filter((each) => each.piece !== piece.piece && each.state === piece.state && each.may_move_to.includes(to) && to === "collected");
  }

  async change(words, path, body, then = {}, method = "POST") {
    // What was asked with it is over; what was opened meanwhile stays.
    const open = ["asking", "measuring", "changing", "noting"].map((each) => [each, this[each]]);
    const settled = () => Object.assign(this, Object.fromEntries(open.filter(([each, was]) => this[each] === was).map(([each]) => [each, null])));
    try {
      const answer = await line.send(words, method, path, body, path.startsWith("/v1/tailors") ? {} : { ifMatch: this.etag });
      Object.assign(settled(), { said: "", done: "", warned: WARNS.test(path) ? answer.body.warnings ?? [] : [], ...then });
      if (answer.body.garments) Object.assign(this, { order: answer.body, etag: answer.etag ?? this.etag });
      announce(`Done: ${words}`);
      return this.load();
    } catch (problem) {
      // What somebody else did meanwhile is shown before it is tried again.
      if (problem.problem?.code === "version_stale") {
        await this.load();
        return this.say("Somebody changed this order just now. Look at it, and do it again if it still holds.");
      }
      if (!problem.problem) settled();
      return this.say(problem.problem ? problem.message : `Kept on this tablet: ${words}. It is sent when the line is back.`);
    }
  }

  move(to, facts, words) {
    return this.change(words, `/v1/orders/${this.order.id}/moves?units=in`, { to, ...facts });
  }

  work(what, piece, number) {
    const body = what === "begin" ? { do: what, ticket: this.order.number, ...(number ? { number } : { piece: piece.piece }) } : { do: what };
    return this.change(`${what}: ${this.order.number}`, `/v1/tailors/${encodeURIComponent(this.member.who)}/work`, body);
  }

  draw() {
    if (!this.order) return redraw(this, h("p", {}, this.failed ? "" : "Fetching…"), this.failed && h("p", { class: "wrong", role: "alert" }, this.failed));
    const { order } = this;
    redraw(this,
      h("div", { class: "head" },
        h("h2", {}, h("span", { class: "number" }, order.number), ` ${STATE[order.state]}`),
        h("p", {}, `Promised for ${day(order.promised_for)}`, order.rush && h("strong", {}, " RUSH"), order.needed_by ? `, wanted by ${day(order.needed_by)}` : ""),
        h("p", { class: "how" }, `By ${order.by}${order.customer_ref ? `, for ${order.customer_ref}` : ""}${order.sale_ref ? `, sale ${order.sale_ref}` : ""}`),
        h("div", { class: "doing" }, button("Ticket and tags", () => showPaper(`/v1/orders/${order.id}/ticket`, `Ticket ${order.number}`)),
          button("Their slip", () => showPaper(`/v1/orders/${order.id}/customer-slip`, `Slip ${order.number}`)), button("Close", () => this.onclose(), { "data-at": "close order" }))),
      (this.said || this.failed) && h("p", { class: "wrong", role: "alert" }, this.said || this.failed),
      this.done && h("p", { class: "done", role: "status" }, this.done),
      this.warned?.map((each) => h("p", { class: "slip", role: "alert" }, each.text)),
      this.charges && this.#balance(),
      order.note && h("p", { class: "slip" }, order.note),
      order.look_again.map((each) => h("p", { class: "slip" }, capital(each))),
      moveQuestions(this),
      changePanel(this),
      order.garments.map((each) => this.#piece(each)),
      groupOf(this),
      order.promised_for && ["marked", "accepted", "in_workroom", "query", "basted_for_fitting", "sewn", "pressed"].includes(order.state) && this.#promise(),
      h("details", {}, h("summary", {}, "What happened to it"), h("ol", { class: "history" }, order.events.map((each) =>
        h("li", {}, `${hour(each.at)} ${each.at.slice(0, 10)}: ${each.kind === "moved" ? STATE[each.to] : plain(each.kind)} by ${each.by}${each.note ? `: ${each.note}` : ""}`)))));
  }

  #balance() {
    const { charges } = this;
    return h("p", { class: "balance" }, "To pay ", h("strong", { class: "big" }, money(charges.balance)), ` of ${money(charges.total)}`,
      charges.deposit?.minor > 0 && `, deposit ${money(charges.deposit)}`);
  }

  // What is still to be done is booked again; the day may move, and whoever waits for it is told.
  #promise() {
    const again = async (event) => {
      event.preventDefault();
      if (!this.why?.trim()) return this.say("Say why the day changes.");
      const before = this.order.promised_for;
      await this.change(`promise of ${this.order.number}`, `/v1/orders/${this.order.id}/promises?units=in`, { reason: this.why.trim() }, { why: "" });
      if (!this.said) this.again = this.order.promised_for === before ? `The day stays ${day(before)}: its minutes are there.` : `${day(before)} → ${day(this.order.promised_for)}. Tell them.`;
      return this.draw();
    };
    return h("details", {}, h("summary", {}, "Promise another day"), this.again && h("p", { class: "done", role: "status" }, this.again), h("form", { class: "doing", onsubmit: again },
      h("label", {}, "Why? ", h("input", { type: "text", maxlength: 200, value: this.why ?? "", "data-at": "why", oninput: (event) => { this.why = event.target.value; } })),
      h("button", { type: "submit", "data-at": "promise" }, "Book what is left again")));
  }

  #piece(piece) {
    const lines = this.order.lines.filter((each) => each.piece === piece.piece);
    const bench = this.at === "bench" && this.member.benches.length > 0 && ["in_workroom", "sewn"].includes(piece.state);
    const mine = piece.at_work.includes(this.member.who);
    return h("section", { class: "piece", "aria-label": `Piece ${piece.piece}` },
      h("h3", {}, `${piece.piece}. ${capital(piece.garment)} ${piece.label ?? ""}`, h("span", { class: `state ${piece.state}` }, STATE[piece.state])),
      h("p", {}, [piece.cloth, piece.pattern !== "plain" && piece.pattern, piece.must_keep && `keep: ${piece.must_keep}`, `${count(piece.pins_to_count, "pin")} to count`, `${piece.minutes_taken} of ${piece.minutes} minutes`,
        piece.at_work.length > 0 && `in hand: ${piece.at_work.join(", ")}`, piece.assigned.length > 0 && `for ${piece.assigned.map((each) => each.tailor).join(", ")}`, piece.where && `at ${piece.where}`].filter(Boolean).join(" · ")),
      piece.question && h("p", { class: "slip" }, `Asked: ${piece.question}`),
      lines.length > 0 && h("ul", { class: "work-lines" }, lines.map((each) => this.#line(each, piece, bench))),
      bench && h("div", { class: "doing" },
        mine || lines.some((each) => each.at_work.includes(this.member.who))
          ? [button("Pause", () => this.work("pause"), { "data-at": `pause ${piece.piece}` }), button("End", () => this.work("end"), { "data-at": `end ${piece.piece}` })]
          : button(piece.state === "sewn" ? "Begin pressing" : "Begin the piece", () => this.work("begin", piece), { "data-at": `begin ${piece.piece}` }),
        !piece.assigned.some((each) => each.tailor === this.member.who) && button("It is mine", () =>
          this.change(`piece ${piece.piece} of ${this.order.number} is mine`, `/v1/orders/${this.order.id}/assignments?units=in`, { tailor: this.member.who, pieces: [piece.piece] }), { "data-at": `mine ${piece.piece}` })),
      h("div", { class: "doing" }, moveButtons(this, piece), changeButton(this, piece)));
  }

  #line(each, piece, bench) {
    const done = each.checks.at(-1);
    const sewing = bench && piece.state === "in_workroom";
    return h("li", {},
      h("div", { class: "what" }, h("span", { class: "no" }, String(each.number)), ` ${each.words}`, each.side && h("strong", { class: "side" }, ` ${SIDE[each.side].toUpperCase()}`),
        each.note && h("em", {}, ` ${each.note}`), each.subject_to_inlay && h("em", {}, " if the inlay allows")),
      h("div", { class: "figures" }, each.amount && h("span", {}, each.direction === "increase" ? "+" : each.direction === "decrease" ? "−" : "", each.amount.text),
        h("strong", { class: "target" }, each.to_be_pinned ? "NOT PINNED" : each.target?.text ?? "")),
      h("p", { class: "how" }, [each.inlay_seen && `inlay ${each.inlay_seen.text}`, each.cloth_cut && "cut", each.at_work.length && `in hand: ${each.at_work.join(", ")}`, each.sewn_by.length && `sewn by ${each.sewn_by.join(", ")}`,
        done && (done.is_right ? `right: ${done.measured?.text ?? "as seen"}, by ${done.by}` : `OFF: ${done.measured?.text ?? "not right"}, by ${done.by}`), `${each.minutes_taken} of ${each.minutes} min`].filter(Boolean).join(" · ")),
      h("div", { class: "doing" },
        sewing && !each.at_work.includes(this.member.who) && button("Begin", () => this.work("begin", piece, each.number), { "data-at": `begin line ${each.number}`, "aria-label": `Begin line ${each.number}` }),
        sewing && !each.sewn_by.length && button("Sewn", () => this.change(`line ${each.number} sewn`, `/v1/orders/${this.order.id}/bench-notes?units=in`, { lines: [{ number: each.number, is_sewn: true }] }),
          { "data-at": `sewn line ${each.number}`, "aria-label": `Line ${each.number} is sewn` }),
        sewing && noteButton(this, each),
        ["sewn", "pressed"].includes(piece.state) && !done?.is_right && button(each.target ? "Measure" : "Look", () => { this.measuring = { line: each, value: nothingTyped() }; this.draw(); },
          { "data-at": `measure ${each.number}`, "aria-label": `Check line ${each.number}` })),
      sewing && notePanel(this, each),
      this.measuring?.line.number === each.number && this.#measure());
  }

  // What a finished line measures; it is off or right by the service's tolerance, not by the screen.
  #measure() {
    const { measuring } = this;
    const { line: each, value } = measuring;
    const path = `/v1/orders/${this.order.id}/checks?units=in`;
    const send = (found) => this.change(`check of line ${each.number} of ${this.order.number}`, path, { lines: [{ number: each.number, ...found }] });
    if (!each.target) {
      return h("div", { class: "doing" }, button("It is right", () => send({ is_right: true }), { class: "first" }), button("It is not right", () => send({ is_right: false })), button("Leave it", () => { this.measuring = null; this.draw(); }));
    }
    const unit = (measuring.unit ??= each.target.unit === "cm" ? "cm" : "in");
    const pad = document.createElement("tape-keypad");
    pad.show({ value, unit, units: ["in", "cm"], ontyped: () => this.draw(), onunit: (other) => { Object.assign(measuring, { unit: other, value: nothingTyped() }); this.draw(); },
      onnext: () => isTyped(value) && send({ measured: { value: asValue(value, unit), unit } }), nextWords: "Keep" });
    return h("div", {}, h("p", {}, `To be ${each.target.text}. It measures `, h("strong", { class: "big" }, asText(value, unit) || "–")), pad, button("Leave it", () => { this.measuring = null; this.draw(); }));
  }
}

customElements.define("order-sheet", OrderSheet);

// The sheet of an order in a room's place: the one that is there already stays, with what is half typed on it.
export function sheetIn(place, id, at, member, onclose) {
  if (place.firstElementChild?.order_id === id) return;
  place.replaceChildren(Object.assign(document.createElement("order-sheet"), { order_id: id, at, member, onclose }));
}
