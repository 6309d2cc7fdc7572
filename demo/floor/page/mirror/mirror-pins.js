// Pins of each leg, in the shoes that they will wear; how the leg falls; what is left in.

import { button, choices, h, redraw, s } from "../dom.js";
import { asText, isHalfTyped, isTyped, nothingTyped } from "../keypad.js";
import { line } from "../line.js";
import { capital, stepped } from "../wording.js";

const FALLS = { cropped: "M14,4 L14,20 M26,4 L26,20 M10,34 L32,34", none: "M14,4 L14,30 M26,4 L26,30 M10,34 L32,34",
  quarter: "M14,4 L14,31 M26,4 L26,24 L24,27 L26,31 M10,34 L32,34", half: "M14,4 L14,32 M26,4 L26,22 L22,26 L26,32 M10,34 L32,34", full: "M14,4 L14,33 M26,4 L26,18 L20,23 L26,28 L21,33 M10,34 L32,34" };
const CLOTHS = ["navy worsted", "grey flannel", "charcoal worsted", "black", "mid-blue check"];

export function drawPins(room) {
  const { fitting } = room;
  const side = (room.leg ??= "left");
  const pin = (fitting.pins[side] ??= { value: nothingTyped(), unit: "in" });
  const changed = () => { fitting.keep(); room.draw(); hems(room); };
  room.afterCheck = () => hems(room);
  if (room.hemsShown === undefined) { room.hemsShown = null; hems(room); }
  const pad = document.createElement("tape-keypad");
  pad.show({ value: pin.value, unit: pin.unit, units: ["in", "cm"], ontyped: () => { fitting.toBePinned = false; changed(); }, remembered: () => room.remembered(),
    onunit: (unit) => { Object.assign(pin, { unit, value: nothingTyped() }); changed(); },
    onnext: () => { if (side === "left") { room.leg = "right"; room.draw(); } else room.go("sheet"); }, nextWords: side === "left" ? "Right leg" : "Sheet" });
  const legs = ["left", "right"].map((each) => button([h("span", {}, `${each} leg`), h("strong", {}, asText(fitting.pins[each]?.value ?? nothingTyped(), fitting.pins[each]?.unit) || "–")],
    () => { room.leg = each; room.draw(); }, { class: "leg", "aria-pressed": String(each === side), "data-at": `leg ${each}` }));
  return h("section", { class: "pins", "aria-label": "Pins" },
    fitting.worn.trousers ? h("div", { class: "hems" },
      h("h2", {}, "Where the pins are: fork to mark, inside"),
      h("div", { class: "legs" }, legs,
        button("Right as left", () => { fitting.pins.right = structuredClone(fitting.pins.left); changed(); }, { disabled: !isTyped(fitting.pins.left?.value) })),
      pad,
      button("To be pinned later", () => { fitting.toBePinned = !fitting.toBePinned; if (fitting.toBePinned) fitting.pins = {}; changed(); }, { "aria-pressed": String(fitting.toBePinned) }),
      h("div", { class: "choices falls", role: "group", "aria-label": "Break on the shoe" }, Object.entries(FALLS).map(([name, d]) =>
        button([s("svg", { viewBox: "0 0 40 40", class: "look-drawing", "aria-hidden": "true" }, s("path", { d })), h("span", {}, name === "none" ? "no break" : name)],
          () => { fitting.fall = name; changed(); }, { class: "seen", "aria-pressed": String(fitting.fall === name), "data-at": `fall ${name}` }))),
      stepper("Heel of the shoe", stepped(fitting.heel, "in"), (by) => { fitting.heel = Math.min(32, Math.max(0, fitting.heel + by)); changed(); }),
      h("div", { class: "hems-said", role: "status" }, hemsSaid(room))) : h("p", {}, "No trousers on: nothing to pin here."),
    h("div", { class: "pieces" }, h("h2", {}, "On the pieces"),
      h("label", {}, "Cloth ", h("input", { type: "text", maxlength: 60, value: fitting.cloth, "data-at": "cloth", onchange: (event) => { fitting.cloth = event.target.value.trim(); changed(); } })),
      choices("Cloth, quickly", CLOTHS.map((each) => [each, each]), fitting.cloth, (cloth) => { fitting.cloth = cloth; changed(); }),
      Object.keys(fitting.worn).map((garment) => stepper(`Pins left in the ${garment}`, fitting.pinsLeft[garment] ?? 0, (by) => {
        fitting.pinsLeft[garment] = Math.max(0, (fitting.pinsLeft[garment] ?? 0) + by);
        changed();
      })),
      h("p", { class: "how" }, "Count them as you set them: they are counted out again when it is pressed, and when it is handed over."),
      button("The sheet", () => room.go("sheet"), { class: "first" })));
}

export const stepper = (name, shown, step) => h("div", { class: "amount", role: "group", "aria-label": name },
  button("−", () => step(-1), { class: "key", "aria-label": `${name}: less`, "data-at": `${name} less` }), h("output", {}, h("strong", {}, String(shown)), ` ${name}`),
  button("+", () => step(1), { class: "key", "aria-label": `${name}: more`, "data-at": `${name} more` }));

// What the hem will be, asked when a moment passed since the last tap; nothing is booked.
function hems(room) {
  clearTimeout(room.hemsTimer);
  room.hemsTimer = setTimeout(() => askHems(room), 300);
}

async function askHems(room) {
  const { fitting } = room;
  if (!fitting.worn.trousers || !["left", "right"].some((each) => isTyped(fitting.pins[each]?.value))) {
    room.hemsShown = null;
    return;
  }
  if (Object.values(fitting.pins).some((each) => isHalfTyped(each.value, each.unit))) return;
  const [{ pins, heel }] = fitting.hems;
  const asked = (room.hemsAsked = Symbol("hems"));
  try {
    const body = { chart: fitting.chart, label: fitting.worn.trousers, pins, heel, break: fitting.fall, ...(fitting.taped.length ? { readings: fitting.taped } : {}) };
    const answer = await line.ask("POST", "/v1/hem-plans?units=in", body);
    if (asked !== room.hemsAsked) return;
    room.hemsShown = answer.body;
  } catch (problem) {
    if (asked !== room.hemsAsked) return;
    room.hemsShown = { said: problem.message };
  }
  const place = room.querySelector(".hems-said");
  if (place) redraw(place, hemsSaid(room));
}

function hemsSaid(room) {
  const plan = room.hemsShown;
  if (!plan) return [];
  if (plan.said) return [h("p", { class: "slip" }, plan.said)];
  return [
    ...plan.legs.map((leg) => h("p", {}, h("strong", {}, `${capital(leg.side)}: ${leg.finished.text} finished`), `, cut at ${leg.cut.text}`,
      leg.missing.mm > 0 ? `. ${leg.missing.text} of cloth is missing. ${leg.instead ?? ""}` : "", leg.formula?.look_again ? ". Look again: the pin is far from what was taped." : "")),
    ...plan.warnings.filter((each) => !each.pointer.startsWith("/readings")).map((each) => h("p", { class: "slip" }, each.text))];
}
