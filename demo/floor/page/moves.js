// What a piece may do next, and the questions that each move needs answered: both as the service says them.

import { button, h } from "./dom.js";
import { stepper } from "./mirror/mirror-pins.js";
import { capital, count, MOVE, plain } from "./wording.js";

// The usual ways first; what ends the work, or says that a piece is gone, is folded away.
const ORDER = ["onward", "collect", "redo", "store", "find"];

const ASKED = { question: "What do you ask the counter?", answer: "What is the answer?", reason: "Why?", where: "Where?", searched_by: "Who searched?",
  decided_by: "Who decided it?", fitting_on: "On which day is the fitting?", cloth_cut: "Is cloth cut?", tried_on: "Did they try it on?" };

// A tap does what needs no words, else its questions open.
export function moveButtons(sheet, piece) {
  const sorted = [...piece.next_moves].sort((one, other) => ORDER.indexOf(one.kind) - ORDER.indexOf(other.kind));
  const first = sorted.filter((each) => ORDER.includes(each.kind));
  const name = ({ kind, to, needs }) => (kind === "redo" ? "Do it again" : kind === "find" ? `Found: ${MOVE[to].toLowerCase()}` : needs.includes("answer") ? "Answer" : MOVE[to]);
  const take = (next) => {
    const words = name(next);
    if (!next.needs.length) return sheet.move(next.to, { pieces: [piece.piece] }, `${words}: ${sheet.order.number}`);
    sheet.asking = { piece, next, name: words, told: { pins_out: 0, tried_on: true, searched_by: sheet.member.who, decided_by: sheet.member.who }, pieces: [piece.piece], lines: [] };
    sheet.draw();
    return sheet.querySelector(".asking input, .asking button")?.focus();
  };
  const usual = first.find((each) => each.to === "sewn") ?? first[0];
  const shown = (next) => button(name(next), () => take(next), { class: next === usual ? "first" : "", "data-at": `move ${piece.piece} ${next.to}` });
  const rest = sorted.filter((each) => !first.includes(each));
  return h("div", { class: "doing" }, first.map(shown), rest.length > 0 && h("details", {}, h("summary", {}, "More"), rest.map(shown)));
}

export function moveQuestions(sheet) {
  const { asking } = sheet;
  if (!asking) return null;
  const { piece, told, next: { to, kind, needs } } = asking;
  const others = sheet.others(piece, to);
  const field = (need) => {
    if (need === "pins_out") return pinsAsked(sheet, piece, told);
    if (need === "tried_on" || need === "cloth_cut") {
      return h("div", { class: "choices", role: "group", "aria-label": ASKED[need] }, h("span", {}, ASKED[need]), [["yes", true], ["no", false]].map(([words, value]) =>
        button(words, () => { told[need] = value; sheet.draw(); }, { "aria-pressed": String(told[need] === value), "data-at": `${need} ${words}` })));
    }
    return h("label", {}, ASKED[need] ?? `${capital(plain(need))}?`, " ", h("input", { type: need === "fitting_on" ? "date" : "text", maxlength: 200, value: told[need] ?? "", "data-at": `asked ${need}`,
      oninput: (event) => { told[need] = event.target.value; } }));
  };
  return h("form", { class: "asking", "aria-label": asking.name, onsubmit: (event) => { event.preventDefault(); send(sheet); } },
    h("h3", {}, `${asking.name}: ${piece.garment}`), needs.map(field),
    others.length > 0 && h("div", { class: "choices", role: "group", "aria-label": "Which pieces" }, [piece, ...others].map((each) => button(each.garment, () => {
      asking.pieces = asking.pieces.includes(each.piece) ? asking.pieces.filter((one) => one !== each.piece) : [...asking.pieces, each.piece];
      sheet.draw();
    }, { "aria-pressed": String(asking.pieces.includes(each.piece)), "data-at": `with ${each.piece}` }))),
    kind === "redo" && h("div", { class: "choices", role: "group", "aria-label": "Lines to do again" }, sheet.order.lines.filter((each) => each.piece === piece.piece).map((each) =>
      button(`${each.number} ${each.words}`, () => {
        asking.lines = asking.lines.includes(each.number) ? asking.lines.filter((one) => one !== each.number) : [...asking.lines, each.number];
        sheet.draw();
      }, { "aria-pressed": String(asking.lines.includes(each.number)), "data-at": `redo ${each.number}` }))),
    h("div", { class: "doing" }, h("button", { type: "submit", class: "first", "data-at": "do it" }, asking.name), button("Leave it", () => { sheet.asking = null; sheet.draw(); })));
}

// Pins are counted out loud: the count starts at none, and what is missing is said before it is sent.
function pinsAsked(sheet, piece, told) {
  const there = piece.pins_to_count;
  const short = there - told.pins_out - (told.pins_lost ?? 0);
  return h("div", { class: "pins-out" }, h("p", {}, `${count(there, "pin")} went in. Count them out.`),
    stepper("pins out", told.pins_out, (by) => { told.pins_out = Math.max(0, told.pins_out + by); sheet.draw(); }),
    button("All of them", () => { told.pins_out = there; sheet.draw(); }, { "data-at": "all pins" }),
    short > 0 && h("p", { class: "slip" }, `${count(short, "pin")} still in there somewhere.`),
    short > 0 && told.pins_out > 0 && button("It stays lost: I searched, and swept with a magnet", () => { Object.assign(told, { pins_lost: short, swept_with_magnet: true }); sheet.draw(); }));
}

function send(sheet) {
  const { next: { to, needs }, told, pieces, lines, name } = sheet.asking;
  const facts = Object.fromEntries(needs.map((need) => [need, told[need]]));
  if (told.pins_lost) Object.assign(facts, { pins_lost: told.pins_lost, searched_by: told.searched_by, swept_with_magnet: true });
  const missing = needs.filter((need) => facts[need] === undefined || facts[need] === "");
  if (missing.length) return sheet.say(missing.map((need) => ASKED[need] ?? plain(need)).join(" "));
  return sheet.move(to, { ...facts, pieces, ...(lines.length ? { redo_lines: lines } : {}) }, `${name}: ${sheet.order.number}`);
}
