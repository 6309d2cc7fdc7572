// At the mirror: tape, advice, the look, pins, the sheet. One step after the other, and back at any time.

import { announce, button, h, redraw } from "../dom.js";
import { DIMENSIONS, Fitting, USUAL } from "./fitting.js";
import { asText, asTyped, isHalfTyped, isTyped, nothingTyped } from "../keypad.js";
import { line, LineDown } from "../line.js";
import { drawAdvice } from "./mirror-advice.js";
import { codeForm, goOnFrom, isCode } from "./mirror-code.js";
import { groupSaid } from "./mirror-group.js";
import { joinGroup, joiningSaid } from "./mirror-joining.js";
import { drawLook, loadPoints } from "./mirror-look.js";
import { drawPins } from "./mirror-pins.js";
import { drawSheet } from "./mirror-sheet.js";
import { orderOf, wedge } from "../scan.js";

const STEPS = { tape: "Tape", advice: "Advice", look: "Look", pins: "Pins", sheet: "Sheet" };
const LISTEN_MS = 250;

export class MirrorRoom extends HTMLElement {
  connectedCallback() {
    this.fitting = new Fitting();
    this.at = DIMENSIONS[0][0];
    this.field = "value";
    this.more = false;
    this.said = "";
    this.warnings = [];
    this.advice = null;
    this.className = "mirror";
    this.draw();
    if (this.fitting.isKnown) this.listen();
    this.stop = wedge(this, (code) => this.scan(code));
    this.#loadPoints();
    this.#join();
    line.addEventListener("change", this.#lined);
    line.addEventListener("again", this.#again);
  }

  disconnectedCallback() {
    this.stop();
    line.removeEventListener("change", this.#lined);
    line.removeEventListener("again", this.#again);
  }

  // A code of the web shop is gone on from; an order is opened at the counter, and what was typed here stays.
  async scan(code) {
    this.scanSaid = "";
    if (isCode(code)) return goOnFrom(this, code);
    try {
      location.hash = `counter/order/${(await orderOf(code)).id}`;
    } catch (problem) {
      this.scanSaid = problem.message;
    }
    return this.draw();
  }

  // What a scan on the keypad typed there is taken back, with all that typing changes.
  remembered() {
    const putBack = this.fitting.remembered();
    return () => { putBack(); this.draw(); this.listen(); };
  }

  // From the counter: whoever is fitted now joins that group.
  goTo([part, id]) {
    if (part === "group" && id) this.joining = id;
    if (this.isConnected) this.#join();
  }

  async #join() {
    const { joining } = this;
    if (!joining) return;
    this.joining = null;
    // Asked for once: whoever comes after them joins nothing.
    history.replaceState(null, "", "#mirror");
    try {
      await joinGroup(this, joining);
    } catch (problem) {
      this.scanSaid = problem.message;
    }
    this.draw();
  }

  #loadPoints() {
    loadPoints(this).then(() => this.draw(), () => {});
  }

  // What was not answered is asked again.
  #again = () => {
    if (!this.points) this.#loadPoints();
    this.listen();
  };

  // The line is back: what was only kept is judged now.
  #lined = () => {
    const was = this.wasDown;
    this.wasDown = line.down;
    if (was && !line.down) this.listen();
  };

  go(step) {
    this.fitting.step = step;
    this.scanSaid = "";
    this.fitting.keep();
    this.draw();
    this.listen();
    this.querySelector(`[data-at="step ${step}"]`)?.focus();
  }

  // Asks what can be asked of what is known by now, a moment after the last tap; the newest answer counts.
  listen() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#ask(), LISTEN_MS);
  }

  async #ask() {
    const asked = (this.asking = Symbol("asked"));
    const fitting = this.fitting;
    try {
      if (fitting.step === "tape" || fitting.step === "advice") {
        // What is being typed is not judged before it can be a measure.
        const half = fitting.readings[this.at];
        const tall = ["stature", "cervical_height"].includes(this.at);
        const typing = half && fitting.step === "tape" && [half.value, half.again].some((each) => isHalfTyped(each, half.unit, tall));
        const readings = fitting.taped.filter((each) => !typing || each.dimension !== this.at);
        if (!readings.length && !fitting.isKnown) return;
        const body = { ...fitting.told, ...(readings.length ? { readings } : {}), wish: fitting.wish, limit: 3, ...(this.charts?.length ? { charts: this.charts } : {}) };
        const answer = await line.ask("POST", "/v1/size-advice", body);
        if (asked !== this.asking) return;
        this.advice = answer.body;
        this.judged = readings.map((each) => each.dimension);
        this.warnings = answer.body.warnings.filter((each) => each.pointer.startsWith("/readings"));
        this.said = "";
      } else if (fitting.chart && Object.keys(fitting.worn).length && (fitting.seen.length || fitting.taped.length)) {
        const body = fitting.checkAsked;
        const answer = await line.ask("POST", "/v1/fit-checks?units=in", body);
        if (asked !== this.asking) return;
        Object.assign(fitting, { check: answer.body, checkedAs: JSON.stringify(body) });
        fitting.keep();
        this.said = "";
        announce(`${answer.body.decision}`);
      } else {
        fitting.check = null;
      }
    } catch (problem) {
      if (asked !== this.asking) return;
      this.said = problem.message;
      if (fitting.step === "look" && !(problem instanceof LineDown)) fitting.check = null;
    }
    this.draw();
    if (fitting.step === "sheet" || fitting.step === "pins") this.afterCheck?.();
  }

  draw() {
    const { fitting } = this;
    const drawn = { tape: drawTape, advice: drawAdvice, look: drawLook, pins: drawPins, sheet: drawSheet }[fitting.step](this);
    redraw(this,
      h("nav", { class: "steps", "aria-label": "Steps of the fitting" }, Object.entries(STEPS).map(([step, words]) =>
        button(words, () => this.go(step), { "aria-current": step === fitting.step ? "step" : undefined, "data-at": `step ${step}` }))),
      fitting.step !== "sheet" && [groupSaid(), joiningSaid(fitting)],
      drawn,
      [this.said, this.scanSaid].map((each) => each && h("p", { class: "wrong", role: "alert" }, each)));
  }
}

// ------------------------------------------------------------------ the tape

function drawTape(room) {
  const { fitting } = room;
  const reading = fitting.reading(room.at);
  const words = DIMENSIONS.find(([name]) => name === room.at);
  const shown = DIMENSIONS.slice(0, room.more ? DIMENSIONS.length : USUAL);
  if (!shown.includes(words)) shown.push(words);
  const typed = (value) => {
    reading[room.field] = value;
    delete reading.said;
    fitting.set = null;
    fitting.keep();
    room.draw();
    room.listen();
  };
  const next = () => {
    const at = shown.findIndex(([name]) => name === room.at);
    [room.at, room.field] = at + 1 < shown.length ? [shown[at + 1][0], "value"] : [room.at, room.field];
    if (at + 1 >= shown.length) room.go("advice");
    else room.draw();
    room.querySelector("tape-keypad")?.focus({ preventScroll: true });
  };
  const pad = document.createElement("tape-keypad");
  const pick = (name, field) => () => { Object.assign(room, { at: name, field }); room.draw(); };
  pad.show({ value: reading[room.field], unit: reading.unit, units: room.at === "body_mass" ? ["kg", "lb"] : ["in", "cm"], ontyped: typed, onnext: next, remembered: () => room.remembered(),
    onunit: (unit) => { Object.assign(reading, { unit, value: nothingTyped(), again: nothingTyped() }); typed(reading[room.field]); },
    nextWords: shown.at(-1)[0] === room.at ? "Advise" : "Next" });
  return h("section", { class: "tape", "aria-label": "Tape" },
    h("div", { class: "readings" },
      codeForm(room),
      h("label", { class: "ref" }, "Customer's reference ",
        h("input", { type: "text", value: fitting.customer, maxlength: 64, autocomplete: "off", "data-at": "customer",
          onchange: (event) => { fitting.customer = event.target.value.trim() || fitting.customer; fitting.keep(); } })),
      h("ul", { class: "list" }, shown.map(([name, called]) => {
        const each = fitting.readings[name] ?? { value: nothingTyped(), again: nothingTyped() };
        const said = !isTyped(each.value) && each.said;
        const taped = asText(each.value, each.unit) || (said ? `${said.value} ${said.unit}` : "");
        const asked = room.advice?.next_measures?.[0]?.dimension === name && !isTyped(each.value);
        return h("li", { class: name === room.at ? "here" : "" },
          button([h("span", {}, called), said && h("em", {}, "as they said"), h("strong", {}, taped || "–"), asked && h("em", {}, "tells most")],
            pick(name, "value"), { "data-at": `${name} value`, "aria-label": `${called}: ${taped || "not taped"}${said ? ", as they said" : ""}`,
              "aria-pressed": String(name === room.at && room.field === "value") }),
          button(asText(each.again, each.unit) || "again", pick(name, "again"), { class: "again", "data-at": `${name} again`,
            "aria-label": `${called}, taped again: ${asText(each.again, each.unit) || "not yet"}`,
            "aria-pressed": String(name === room.at && room.field === "again") }));
      })),
      button(room.more ? "Fewer measures" : "More measures", () => { room.more = !room.more; room.draw(); }, { class: "quiet" }),
      shown.map(([name]) => slips(room, name))),
    h("div", { class: "pad" },
      h("h2", {}, `${words[1]}${room.field === "again" ? ", again" : ""}: `, h("strong", { class: "big" }, asText(reading[room.field], reading.unit) || "–")),
      h("p", { class: "how" }, words[2]),
      pad,
      button("Held by themselves", () => { reading.self = !reading.self; typed(reading[room.field]); }, { "aria-pressed": String(reading.self) }),
      h("p", { class: "how" }, "With their consent. Say where the tape goes.")));
}

// A likely slip is asked at once, and nothing is put right behind anybody's back. It stands below all measures and names its
// own: above one it would move that from under a finger.
function slips(room, name) {
  const at = (room.judged ?? []).indexOf(name);
  return room.warnings.filter((each) => each.pointer.split("/")[2] === String(at)).map((each) => {
    const meant = each.facts.meant;
    const reading = room.fitting.reading(name);
    return h("p", { class: "slip", role: "alert" }, each.text, " ", meant && button(`${meant} it is`, () => {
      Object.assign(reading, asTyped(meant));
      delete reading.said;
      room.fitting.keep();
      room.draw();
      room.listen();
    }, { "data-at": `slip ${name}` }));
  });
}

// A set is recorded once, when the fitter goes on with it; with the line down it waits in the queue.
export async function recordSet(room) {
  const { fitting } = room;
  if (fitting.set || !fitting.taped.length) return;
  fitting.set = "sent";
  fitting.keep();
  try {
    const body = { customer_ref: fitting.customer, readings: fitting.taped };
    fitting.set = (await line.send(`readings of ${fitting.customer}`, "POST", "/v1/measurement-sets", body)).body.id;
    fitting.keep();
  } catch (problem) {
    if (problem.problem) {
      fitting.set = null;
      room.said = problem.message;
      room.draw();
    }
  }
}

customElements.define("mirror-room", MirrorRoom);
