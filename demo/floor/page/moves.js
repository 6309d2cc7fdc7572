// What each move wants to be told, as the service asks for it (a test holds this to the service's own table), and how it is asked.

import { button, h } from "./dom.js";
import { stepper } from "./mirror-pins.js";
import { count, MOVE, plain } from "./wording.js";

const ONWARD = ["accepted", "sewn", "pressed", "ready", "collected", "in_workroom", "query", "basted_for_fitting", "stored"];
export const NEEDS = {
  "in_workroom query": ["question"], "in_workroom basted_for_fitting": ["fitting_on"], "query in_workroom": ["answer"],
  "sewn pressed": ["pins_out"], "pressed ready": ["pins_out"], "ready collected": ["tried_on"], "stored collected": ["tried_on"], "ready stored": ["where"],
  "sewn in_workroom": ["reason"], "pressed in_workroom": ["reason"], "ready in_workroom": ["reason"], "collected in_workroom": ["reason"], "stored in_workroom": ["reason"],
  "marked cancelled": ["reason"], "accepted cancelled": ["reason"], "in_workroom cancelled": ["reason", "cloth_cut"], "query cancelled": ["reason", "cloth_cut"],
  "basted_for_fitting cancelled": ["reason", "cloth_cut"], "ready given_up": ["reason", "decided_by"], "stored given_up": ["reason", "decided_by"],
  "lost in_workroom": ["where"], "lost sewn": ["where"], "lost written_off": ["reason", "decided_by"] };
const ALWAYS = { lost: ["searched_by", "where"] };

export const needsOf = (from, to) => NEEDS[`${from} ${to}`] ?? ALWAYS[to] ?? [];
export const isRedo = (from, to) => to === "in_workroom" && ["sewn", "pressed", "ready", "collected", "stored"].includes(from);

const ASKED = { question: "What do you ask the counter?", answer: "What is the answer?", reason: "Why?", where: "Where?", searched_by: "Who searched?",
  decided_by: "Who decided it?", fitting_on: "On which day is the fitting?", cloth_cut: "Is cloth cut?", tried_on: "Did they try it on?" };

// The moves of a piece, the usual one first; a tap does what needs no words, else its questions open.
export function moveButtons(sheet, piece) {
  const first = piece.may_move_to.filter((each) => ONWARD.includes(each)).sort((one, other) => ONWARD.indexOf(one) - ONWARD.indexOf(other));
  const name = (to) => (isRedo(piece.state, to) ? "Do it again" : piece.state === "query" && to === "in_workroom" ? "Answer" : MOVE[to]);
  const take = (to) => {
    const needs = needsOf(piece.state, to);
    if (!needs.length && !sheet.others(piece, to).length) return sheet.move(to, { pieces: [piece.piece] }, `${name(to)}: ${sheet.order.number}`);
    sheet.asking = { piece, to, name: name(to), told: { pins_out: 0, tried_on: true, searched_by: sheet.member.who, decided_by: sheet.member.who }, pieces: [piece.piece], lines: [] };
    sheet.draw();
    sheet.querySelector(".asking input, .asking button")?.focus();
  };
  const shown = (to) => button(name(to), () => take(to), { class: to === first[0] ? "first" : "", "data-at": `move ${piece.piece} ${to}` });
  const rest = piece.may_move_to.filter((each) => !first.includes(each));
  return h("div", { class: "doing" }, first.map(shown), rest.length > 0 && h("details", {}, h("summary", {}, "More"), rest.map(shown)));
}

export function moveQuestions(sheet) {
  const { asking } = sheet;
  if (!asking) return null;
  const { piece, to, told } = asking;
  const needs = needsOf(piece.state, to);
  const others = sheet.others(piece, to);
  const field = (need) => {
    if (need === "pins_out") return pinsAsked(sheet, piece, told);
    if (need === "tried_on" || need === "cloth_cut") {
      return h("div", { class: "choices", role: "group", "aria-label": ASKED[need] }, h("span", {}, ASKED[need]), [["yes", true], ["no", false]].map(([words, value]) =>
        button(words, () => { told[need] = value; sheet.draw(); }, { "aria-pressed": String(told[need] === value), "data-at": `${need} ${words}` })));
    }
    return h("label", {}, ASKED[need], " ", h("input", { type: need === "fitting_on" ? "date" : "text", maxlength: 200, value: told[need] ?? "", "data-at": `asked ${need}`,
      oninput: (event) => { told[need] = event.target.value; } }));
  };
  return h("form", { class: "asking", "aria-label": asking.name, onsubmit: (event) => { event.preventDefault(); send(sheet); } },
    h("h3", {}, `${asking.name}: ${piece.garment}`), needs.map(field),
    others.length > 0 && h("div", { class: "choices", role: "group", "aria-label": "Which pieces" }, [piece, ...others].map((each) => button(each.garment, () => {
      asking.pieces = asking.pieces.includes(each.piece) ? asking.pieces.filter((one) => one !== each.piece) : [...asking.pieces, each.piece];
      sheet.draw();
    }, { "aria-pressed": String(asking.pieces.includes(each.piece)), "data-at": `with ${each.piece}` }))),
    isRedo(piece.state, to) && h("div", { class: "choices", role: "group", "aria-label": "Lines to do again" }, sheet.order.lines.filter((each) => each.piece === piece.piece).map((each) =>
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
  const { piece, to, told, pieces, lines, name } = sheet.asking;
  const needs = needsOf(piece.state, to);
  const facts = Object.fromEntries(needs.map((need) => [need, told[need]]));
  if (told.pins_lost) Object.assign(facts, { pins_lost: told.pins_lost, searched_by: told.searched_by, swept_with_magnet: true });
  const missing = needs.filter((need) => facts[need] === undefined || facts[need] === "");
  if (missing.length) return sheet.say(missing.map((need) => ASKED[need] ?? plain(need)).join(" "));
  return sheet.move(to, { ...facts, pieces, ...(lines.length ? { redo_lines: lines } : {}) }, `${name}: ${sheet.order.number}`);
}
