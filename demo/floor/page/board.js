// The workroom's board: a column for each bench, late and at risk first, by state; it follows what happens by itself.

import { button, h, redraw } from "./dom.js";
import { line, Locked } from "./line.js";
import { following } from "./live.js";
import { sheetIn } from "./order-sheet.js";
import { camera, orderOf, wedge } from "./scan.js";
import { capital, count, day, plain, SIDE, STATE } from "./wording.js";

const BENCH = { trousers: "Trousers bench", jackets: "Jackets bench", finishing: "Finishing" };
const URGENCY = { late: "LATE", at_risk: "AT RISK", today: "" };
const LOOK_AGAIN_MS = 60000;
const STATES = ["query", "in_workroom", "basted_for_fitting", "sewn", "pressed", "accepted", "marked"];

class WorkBoard extends HTMLElement {
  connectedCallback() {
    this.className = "board";
    this.strip = h("div", { class: "strip" });
    this.place = h("div", {});
    this.replaceChildren(this.strip, this.place);
    this.day = null;
    this.said = this.failed = "";
    this.stops = [following(this, () => this.load()), wedge(this, (code) => this.scan(code))];
    this.timer = setInterval(() => this.load(), LOOK_AGAIN_MS);
    this.load();
  }

  disconnectedCallback() {
    this.stops.forEach((each) => each());
    clearInterval(this.timer);
  }

  goTo([id]) {
    const was = this.open;
    this.open = id ?? null;
    this.said = "";
    if (this.worklist) this.draw();
    if (was && !this.open) this.load();
  }

  async load() {
    try {
      const [worklist, counts] = await Promise.all([
        // Under an open sheet the columns are not seen; they are asked for when it is closed.
        this.open && this.worklist ? { body: this.worklist } : line.get(`/v1/workroom/worklist?units=in${this.day ? `&day=${this.day}` : ""}`),
        line.get("/v1/orders/counts")]);
      Object.assign(this, { worklist: worklist.body, counts: counts.body, failed: "" });
      this.today ??= worklist.body.day;
    } catch (problem) {
      if (problem instanceof Locked) return;
      this.failed = this.worklist ? `${problem.message} The board is as it was.` : problem.message;
    }
    this.draw();
  }

  async scan(code) {
    this.said = "";
    try {
      location.hash = `bench/${(await orderOf(code)).id}`;
    } catch (problem) {
      this.say(problem.message);
    }
  }

  say(words) {
    this.said = words;
    this.draw();
  }

  turn(by) {
    const on = new Date(`${this.worklist.day}T12:00:00Z`);
    on.setUTCDate(on.getUTCDate() + by);
    this.day = on.toISOString().slice(0, 10);
    this.load();
  }

  draw() {
    if (!this.worklist) return redraw(this.strip, h("p", {}, this.failed || "Fetching the board…"));
    const { counts, worklist } = this;
    const typed = (event) => { event.preventDefault(); const field = event.target.querySelector("input"); if (field.value.trim()) this.scan(field.value); field.value = ""; };
    redraw(this.strip,
        h("p", {}, h("strong", { class: counts.late ? "late" : "" }, `${counts.late} late`), `, ${counts.due} due today`, counts.states.filter((each) => each.orders).map((each) => ` · ${each.orders} ${STATE[each.state]}`)),
        h("div", { class: "doing" }, button("Day before", () => this.turn(-1)), h("strong", { class: "day" }, worklist.day === this.today ? "Today" : day(worklist.day)), button("Day after", () => this.turn(1)),
          h("form", { onsubmit: typed, role: "search" }, h("label", {}, "Ticket ", h("input", { type: "text", inputmode: "numeric", maxlength: 200, "data-at": "ticket", autocomplete: "off" })), h("button", { type: "submit" }, "Open")),
          camera((code) => this.scan(code))),
        [this.failed, this.said].map((each) => each && h("p", { class: "wrong", role: "alert" }, each)));
    if (this.open) return sheetIn(this.place, this.open, "bench", this.member, () => { location.hash = "bench"; });
    return redraw(this.place, h("div", { class: "columns" }, worklist.benches.map((bench) => this.#column(bench))));
  }

  #column(bench) {
    const state = (job) => job.pieces.map((each) => each.state).sort((one, other) => STATES.indexOf(one) - STATES.indexOf(other))[0] ?? job.state;
    const urgent = bench.jobs.filter((each) => each.urgency !== "today");
    const groups = [["Late and at risk", urgent], ...STATES.map((each) => [capital(STATE[each]), bench.jobs.filter((job) => job.urgency === "today" && state(job) === each)])];
    return h("section", { class: "column", "aria-label": BENCH[bench.bench] }, h("h2", {}, BENCH[bench.bench]), h("p", { class: "how" }, `${count(bench.count, "order")}, ${bench.minutes} minutes`),
      groups.filter(([, jobs]) => jobs.length).map(([words, jobs]) => [h("h3", {}, words), h("ul", {}, jobs.map((job) => h("li", {}, this.#card(job, bench.bench))))]),
      bench.jobs.length === 0 && h("p", { class: "how" }, "Nothing to do here on this day."));
  }

  #card(job, bench) {
    const who = [...new Set(job.pieces.flatMap((each) => [...each.at_work, each.assigned_to]).concat(job.lines.flatMap((each) => [...each.at_work, each.assigned_to])).filter(Boolean))];
    const pins = job.pieces.reduce((sum, each) => sum + each.pins_to_count, 0);
    const hand = [...job.pieces, ...job.lines].some((each) => each.at_work.length);
    return button([
      h("span", { class: "top" }, h("strong", { class: "number" }, job.number), job.rush && h("strong", { class: "late" }, "RUSH"), URGENCY[job.urgency] && h("strong", { class: "late" }, URGENCY[job.urgency]), h("span", {}, day(job.promised_for))),
      job.pieces.map((each) => h("span", { class: "cloth" }, `${each.garment} ${each.label ?? ""}${each.cloth ? `, ${each.cloth}` : ""} (${STATE[each.state]})`)),
      job.lines.map((each) => h("span", { class: "job-line" }, h("span", {}, each.words, each.side ? ` ${SIDE[each.side]}` : ""), h("strong", {}, each.target?.text ?? each.amount?.text ?? ""))),
      job.lines.length === 0 && bench === "finishing" && h("span", { class: "job-line" }, "press and look over"),
      job.lines.some((each) => each.sides_differ) && h("strong", { class: "differ" }, "SIDES DIFFER"),
      job.reasons.map((each) => h("span", { class: "why" }, capital(plain(each)))),
      job.pieces.filter((each) => each.question).map((each) => h("span", { class: "why" }, `Asked: ${each.question}`)),
      h("span", { class: "foot" }, `${count(pins, "pin")} · ${job.minutes} min · ${who.length ? `${who.join(", ")}${hand ? ", in hand" : ""}` : "nobody's yet"}`)],
    () => { location.hash = `bench/${job.id}`; }, { class: `card ${job.urgency}`, "data-at": `card ${job.number} ${bench}` });
  }
}

customElements.define("work-board", WorkBoard);
