// One more of a group whose orders are placed already: found by a ticket of any of them, and held to join it.

import { button, h } from "../dom.js";
import { line } from "../line.js";
import { camera, orderOf } from "../scan.js";
import { count, day } from "../wording.js";

export function joiningPanel(room) {
  const { joins } = room.fitting;
  if (!joins) return null;
  return h("section", { class: "paper group", "aria-label": "The group that they join" },
    h("h2", {}, `One more of the group of ${joins.numbers.join(", ")}`),
    h("p", {}, `So far ${count(joins.numbers.length, "order")}, all promised for ${day(joins.day)}. All of it is promised for the day of the last one.`,
      joins.wantedBy && ` All of it is wanted by ${day(joins.wantedBy)}.`),
    button("They are not of this group", () => { room.fitting.joins = null; room.fitting.keep(); room.draw(); room.afterCheck?.(); }, { class: "quiet", "data-at": "joins none" }));
}

export function joiningAsked(room) {
  if (room.fitting.joins) return null;
  const asked = (event) => { event.preventDefault(); joinGroupOf(room, event.target.querySelector("input").value); };
  return h("details", {}, h("summary", {}, "They join a group that is placed"),
    h("form", { class: "doing", onsubmit: asked },
      h("label", {}, "Ticket of one of the group ", h("input", { type: "text", maxlength: 200, autocomplete: "off", "data-at": "joins" })),
      h("button", { type: "submit", class: "first", "data-at": "find group" }, "Find the group"), camera((code) => joinGroupOf(room, code))),
    room.joinProblem && h("p", { class: "wrong", role: "alert" }, room.joinProblem));
}

async function joinGroupOf(room, code) {
  if (!code.trim()) return;
  room.joinProblem = "";
  try {
    const order = await orderOf(code);
    if (!order.group) room.joinProblem = `Order ${order.number} is of no group.`;
    else await joinGroup(room, order.group);
  } catch (problem) {
    room.joinProblem = problem.message;
  }
  room.draw();
  room.afterCheck?.();
}

export async function joinGroup(room, id) {
  const group = (await line.get(`/v1/order-groups/${encodeURIComponent(id)}`)).body;
  room.fitting.joins = { id, day: group.promised_for, wantedBy: group.needed_by, numbers: group.orders.map((each) => each.number) };
  room.fitting.keep();
}

export const joiningSaid = ({ joins }) => joins && h("p", { class: "slip" }, `Whoever is fitted now joins the group of ${joins.numbers.join(", ")}.`);

// What became of the others: their day may have moved, and whoever was promised it is told.
export function joinedSaid(placed, joined) {
  const moved = placed.promised_for && placed.promised_for !== joined.day;
  return [h("p", {}, `With ${joined.numbers.join(", ")}.`),
    moved && h("p", { class: "slip", role: "alert" }, `The whole group is now promised for ${day(placed.promised_for)}, before it was ${day(joined.day)}. Tell them.`),
    button("The group at the counter", () => { location.hash = `counter/order/${placed.id}`; }, { class: "quiet" })];
}
