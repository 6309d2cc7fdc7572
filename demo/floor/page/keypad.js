// A keypad for tailors: whole inches and eighths, or centimetres and halves. By keyboard: digits, + and − for an eighth, Enter.

import { button, choices, h, redraw } from "./dom.js";
import { EIGHTHS } from "./wording.js";

export class TapeKeypad extends HTMLElement {
  // What is asked for: { value: {whole, part}, unit, units, nextWords, ontyped, onunit, onnext, remembered }; the last where
  // typing changes more than the value.
  show(asked) {
    this.asked = asked;
    this.#draw();
  }

  connectedCallback() {
    this.setAttribute("role", "group");
    this.setAttribute("aria-label", "Keypad");
    this.tabIndex = 0;
    this.dataset.at = "pad";
    this.addEventListener("keydown", (event) => this.#key(event));
  }

  // As it is now: what is answered puts it back so.
  remembered() {
    const { asked } = this;
    if (asked.remembered) return asked.remembered();
    const was = { ...asked.value };
    return () => { Object.assign(asked.value, was); asked.ontyped(asked.value); };
  }

  #type(change) {
    Object.assign(this.asked.value, change);
    this.asked.ontyped(this.asked.value);
  }

  #digit(digit) {
    const value = this.asked.value;
    if (value.whole.length < 3) this.#type({ whole: (value.whole + digit).replace(/^0+(?=\d)/, "") });
  }

  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const steps = this.asked.unit === "in" ? 8 : 2;
    const { part } = this.asked.value;
    if (/^[0-9]$/.test(event.key)) this.#digit(event.key);
    else if (event.key === "+") this.#type({ part: (part + 1) % steps });
    else if (event.key === "-") this.#type({ part: (part + steps - 1) % steps });
    else if (event.key === "Backspace") this.#type(part ? { part: 0 } : { whole: this.asked.value.whole.slice(0, -1) });
    else if (event.key === "Enter" && event.target === this) this.asked.onnext();
    else return;
    event.preventDefault();
  }

  #draw() {
    const { value, unit, units, onunit, onnext, nextWords } = this.asked;
    const digit = (each) => button(String(each), () => this.#digit(String(each)), { class: "key" });
    const parts = unit === "in" ? EIGHTHS.slice(1).map((words, at) => [at + 1, words]) : unit === "cm" || unit === "kg" ? [[1, ".5"]] : [];
    redraw(this,
      units.length > 1 && choices("Unit", units.map((each) => [each, each]), unit, onunit),
      h("div", { class: "keys" }, [1, 2, 3, 4, 5, 6, 7, 8, 9].map(digit),
        button("Clear", () => this.#type({ whole: "", part: 0 }), { class: "key" }), digit(0),
        button(nextWords, onnext, { class: "key first", "data-at": "next" })),
      parts.length > 0 && h("div", { class: "parts" }, parts.map(([at, words]) =>
        button(words, () => this.#type({ part: value.part === at ? 0 : at }), { class: "key", "aria-pressed": String(value.part === at),
          "aria-label": unit === "in" ? `${at} eighths` : "and a half", "data-at": `part ${at}` }))));
  }
}

customElements.define("tape-keypad", TapeKeypad);

export const nothingTyped = () => ({ whole: "", part: 0 });
// Whether a finger may be on its way to the next digit: no body measures 4 in or 17 cm where this is asked.
export const isHalfTyped = (value, unit, tall = false) => isTyped(value) && value.whole.length < (tall && unit === "cm" ? 3 : 2);
export const isTyped = (value) => Boolean(value && (value.whole !== "" || value.part));

// As the contract takes it: "40 1/8", "101.5".
export function asValue(value, unit) {
  const whole = value.whole || "0";
  if (unit !== "in") return `${whole}${value.part ? ".5" : ""}`;
  return value.part ? `${whole} ${value.part}/8` : whole;
}

export function asText(value, unit) {
  if (!isTyped(value)) return "";
  if (unit !== "in") return `${asValue(value, unit)} ${unit}`;
  return `${value.whole || (value.part ? "" : "0")}${value.part ? `${value.whole ? " " : ""}${EIGHTHS[value.part]}` : ""} in`;
}

// "92 cm", "40 1/4 in": as the keypad holds it.
export function asTyped(text) {
  const [, whole, decimals, over, under, unit] = /^(\d+)(\.\d+)?(?: (\d+)\/(\d+))? (\w+)$/.exec(text) ?? [];
  const part = over ? Number(over) / Number(under) : Number(decimals ?? 0);
  return { value: { whole: whole ?? "", part: Math.round(part * (unit === "in" ? 8 : 2)) }, unit };
}
