// Several people with one day: each one's sheet is kept here until all are placed together, all or none.

import { announce, button, choices, h, holdButton } from "../dom.js";
import { drafts, line } from "../line.js";
import { recordSet } from "./mirror.js";
import { showPaper } from "../papers.js";
import { count, day, money } from "../wording.js";

const FEWEST = 2;
const fresh = () => ({ members: [], neededBy: "", rush: false });
export const group = () => drafts.read("group") ?? fresh();
const keep = (room, kept) => { drafts.keep("group", kept); room.draw(); };

// What is on the sheet now is kept for the group, and the next of them comes to the mirror.
export async function keepInGroup(room, leave) {
  const { fitting, quoted } = room;
  await recordSet(room);
  const { needed_by: neededBy, rush, ...sheet } = fitting.sheet;
  const kept = group();
  kept.members.push({ customer: fitting.customer, words: Object.entries(fitting.worn).map(([garment, label]) => `${garment} ${label}`).join(", "), total: quoted?.total ?? null,
    sheet: { ...sheet, customer_ref: fitting.customer, ...(fitting.sale ? { sale_ref: fitting.sale } : {}), ...(fitting.note ? { note: fitting.note } : {}) } });
  Object.assign(kept, { neededBy: kept.neededBy || neededBy || "", rush: kept.rush || Boolean(rush) });
  drafts.keep("group", kept);
  leave();
}

export function groupSaid() {
  const { members } = group();
  return members.length > 0 && h("p", { class: "slip" }, `${count(members.length, "sheet")} of a group ${members.length === 1 ? "is" : "are"} kept here: they are placed together, at Sheet.`);
}

export function groupPanel(room) {
  const kept = group();
  if (!kept.members.length) return null;
  const out = (at) => { kept.members.splice(at, 1); keep(room, kept); };
  return h("section", { class: "paper group", "aria-label": "The group" },
    h("h2", {}, `The group: ${count(kept.members.length, "sheet")}`),
    h("ol", { class: "work-lines" }, kept.members.map((each, at) => h("li", {}, h("div", {}, h("strong", {}, each.customer), ` ${each.words}`), h("div", { class: "figures" }, each.total && money(each.total)),
      h("div", { class: "doing" }, button("Take out", () => out(at), { "aria-label": `Take ${each.customer} out of the group`, "data-at": `take out ${at}` }))))),
    h("label", {}, "All wanted by ", h("input", { type: "date", value: kept.neededBy, "data-at": "group needed", onchange: (event) => { kept.neededBy = event.target.value; keep(room, kept); } })),
    choices("How soon, all", [["usual", "in their turn"], ["rush", "rush"]], kept.rush ? "rush" : "usual", (how) => { kept.rush = how === "rush"; keep(room, kept); }),
    room.groupProblem && h("p", { class: "wrong", role: "alert" }, room.groupProblem),
    kept.members.length < FEWEST && h("p", { class: "how" }, "A group has at least two."),
    holdButton("Hold to place the group", () => placeGroup(room, kept), { disabled: kept.members.length < FEWEST, "data-at": "hold group" }));
}

async function placeGroup(room, kept) {
  const body = { orders: kept.members.map((each) => each.sheet), ...(kept.neededBy ? { needed_by: kept.neededBy } : {}), ...(kept.rush ? { rush: true } : {}) };
  room.groupProblem = "";
  try {
    const placed = (await line.send(`group of ${kept.members.length}`, "POST", "/v1/order-groups", body)).body;
    room.placed = placed;
    announce(`The group is placed: ${placed.orders.map((each) => each.number).join(", ")}`);
  } catch (problem) {
    if (problem.problem) {
      room.groupProblem = problem.message;
      return room.draw();
    }
    room.placed = { kept: true };
  }
  drafts.drop("group");
  return room.draw();
}

export function placedGroup(placed, next) {
  return h("section", { class: "sheet placed" }, h("h2", {}, `A group of ${placed.orders.length}`), h("p", { class: "big" }, `All promised for ${day(placed.promised_for)}`),
    h("ul", {}, placed.orders.map((each) => h("li", { class: "doing" }, h("strong", { class: "number" }, each.number), h("span", {}, ` ${each.customer_ref ?? ""} ${money(each.total)}`),
      button("Their slip", () => showPaper(`/v1/orders/${each.id}/customer-slip`, `Slip ${each.number}`), { "aria-label": `Slip of ${each.number}`, "data-at": `slip ${each.number}` }),
      button("Ticket and tags", () => showPaper(`/v1/orders/${each.id}/ticket`, `Ticket ${each.number}`), { "aria-label": `Ticket of ${each.number}`, "data-at": `ticket ${each.number}` })))),
    h("div", { class: "doing" }, button("The group's sheet", () => showPaper(`/v1/order-groups/${placed.id}/sheet`, "The group's sheet")), button("Next customer", next, { class: "first" })));
}
