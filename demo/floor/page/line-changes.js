// The lines of an order changed, struck and added: before the work, while it is asked about, at a second fitting, or when it is done again.

import { button, choices, h } from "./dom.js";
import { line } from "./line.js";
import { capital, inches, money, SIDE, stepped, stepsOf } from "./wording.js";

const OPEN = ["marked", "accepted", "query", "basted_for_fitting"];
const WAYS = { decrease: "less: shorter, narrower", increase: "more: longer, wider" };
const BASIS = { girth: "All round", per_side: "At each side", per_leg: "At each leg", length: "Along" };
// Of a hem its finished length is said anew, of other work how much of it.
const measureOf = (each) => (each.cut ? "target" : "amount");

export function changeButton(sheet, piece) {
  const again = piece.state === "in_workroom" && sheet.order.events.some((each) => each.facts?.redo_lines?.length);
  if (!OPEN.includes(piece.state) && !again) return null;
  return button("Change the work", () => {
    sheet.changing = { piece: piece.piece, steps: {}, struck: [], added: [], adding: null, reason: "" };
    sheet.draw();
    sheet.querySelector(".asking button")?.focus();
    line.kept("/v1/alterations?units=in&view=short").then((answer) => { sheet.work_known = answer.body.alterations; sheet.draw(); }, (problem) => sheet.say(problem.message));
  }, { "data-at": `change ${piece.piece}` });
}

export function changePanel(sheet) {
  const { changing } = sheet;
  if (!changing) return null;
  const piece = sheet.order.garments.find((each) => each.piece === changing.piece);
  const lines = sheet.order.lines.filter((each) => each.piece === changing.piece);
  return h("form", { class: "asking", "aria-label": "Change the work", onsubmit: (event) => { event.preventDefault(); keep(sheet, lines); } },
    h("h3", {}, `Change the work: ${piece.garment} ${piece.label ?? ""}`),
    h("ul", { class: "work-lines" }, lines.map((each) => h("li", {}, oneLine(sheet, each))),
      changing.added.map((each, at) => h("li", {}, h("div", {}, h("strong", {}, "New: "), `${each.words}${each.side ? `, ${SIDE[each.side]}` : ""}`), h("div", { class: "figures" }, each.steps ? h("strong", { class: "target" }, stepped(each.steps, "in")) : ""),
        h("div", { class: "doing" }, button("Take away", () => { changing.added.splice(at, 1); sheet.draw(); }, { "aria-label": `Take away ${each.words}`, "data-at": `take away ${at}` }))))),
    addWork(sheet, piece),
    h("label", {}, "Why? It is printed on the ticket. ", h("input", { type: "text", maxlength: 200, value: changing.reason, "data-at": "change why", oninput: (event) => { changing.reason = event.target.value; } })),
    h("div", { class: "doing" }, h("button", { type: "submit", class: "first", "data-at": "keep change" }, "Keep the change"), button("Leave it", () => { sheet.changing = null; sheet.draw(); }, { "data-at": "leave change" })));
}

function oneLine(sheet, each) {
  const { changing } = sheet;
  const called = `${each.number} ${each.words}${each.side ? `, ${SIDE[each.side]}` : ""}`;
  if (changing.struck.includes(each.number)) {
    return [h("div", {}, h("s", {}, called), " is struck"), h("div", { class: "doing" }, button("Leave it in", () => { changing.struck = changing.struck.filter((one) => one !== each.number); sheet.draw(); }, { "data-at": `unstrike ${each.number}`, "aria-label": `Leave line ${called} in` }))];
  }
  const was = each[measureOf(each)];
  const now = changing.steps[each.number] ?? (was && stepsOf(was.mm, "in"));
  return [h("div", {}, called),
    h("div", { class: "figures" }, changing.steps[each.number] !== undefined && h("span", {}, `was ${was.text}`)),
    h("div", { class: "doing" },
      was && stepping(`line ${each.number}`, now, (to) => { changing.steps[each.number] = to; sheet.draw(); }),
      button("Strike", () => { changing.struck.push(each.number); sheet.draw(); }, { "data-at": `strike ${each.number}`, "aria-label": `Strike line ${called}` }))];
}

export const stepping = (name, steps, take, least = 1) => h("div", { class: "amount", role: "group", "aria-label": name },
  button("−", () => take(Math.max(least, steps - 1)), { class: "key", "aria-label": `${name}: an eighth less`, "data-at": `${name} less` }), h("output", {}, h("strong", {}, stepped(steps, "in"))),
  button("+", () => take(steps + 1), { class: "key", "aria-label": `${name}: an eighth more`, "data-at": `${name} more` }));

function addWork(sheet, piece) {
  const { changing } = sheet;
  const known = (sheet.work_known ?? []).filter((each) => each.garment === piece.garment);
  const adding = (changing.adding ??= { alteration: "", side: "both", way: "decrease", steps: 4 });
  const work = known.find((each) => each.alteration === adding.alteration);
  const ways = [...new Set((work?.limits ?? []).map((each) => each.direction))];
  const add = () => {
    changing.added.push({ words: work.words, steps: work.basis ? adding.steps : 0, side: work.sided ? adding.side : null,
      asked: { alteration: work.alteration, piece: piece.piece, ...(work.sided ? { side: adding.side } : {}),
        ...(work.basis ? { amount: inches(adding.steps), basis: work.basis } : {}), ...(ways.length > 1 ? { direction: adding.way } : {}) } });
    changing.adding = null;
    sheet.draw();
  };
  return h("details", {}, h("summary", {}, "Add work"),
    h("label", {}, "Which ", h("select", { "data-at": "new work", onchange: (event) => { adding.alteration = event.target.value; sheet.draw(); } }, h("option", { value: "" }, known.length ? "choose" : "Fetching…"),
      known.map((each) => h("option", { value: each.alteration, selected: each.alteration === adding.alteration }, `${capital(each.words)}, ${money(each.price)}`)))),
    work && [
      work.sided && choices("New work, side", [["left", "their left"], ["right", "their right"], ["both", "both"]], adding.side, (side) => { adding.side = side; sheet.draw(); }),
      ways.length > 1 && choices("New work, way", ways.map((each) => [each, WAYS[each]]), adding.way, (way) => { adding.way = way; sheet.draw(); }),
      work.basis && h("div", { class: "doing" }, h("span", {}, BASIS[work.basis]), stepping("new work", adding.steps, (to) => { adding.steps = to; sheet.draw(); })),
      work.caution && h("p", { class: "slip" }, capital(work.caution)),
      button("Add it", add, { "data-at": "add work" })]);
}

function keep(sheet, lines) {
  const { steps, struck, added, reason } = sheet.changing;
  const change = lines.filter((each) => steps[each.number] !== undefined && !struck.includes(each.number)).map((each) => ({ number: each.number, [measureOf(each)]: inches(steps[each.number]) }));
  if (!change.length && !struck.length && !added.length) return sheet.say("Nothing is changed yet.");
  if (!reason.trim()) return sheet.say("Say why it is changed.");
  return sheet.change(`work of ${sheet.order.number} changed`, `/v1/orders/${sheet.order.id}/line-changes?units=in`, {
    reason: reason.trim(), ...(change.length ? { change } : {}), ...(struck.length ? { strike: struck } : {}), ...(added.length ? { add: added.map((each) => each.asked) } : {}) });
}
