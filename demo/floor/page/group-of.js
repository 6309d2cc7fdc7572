// On the sheet of an order that is of a group: the others, how far each is, the group's own sheet; one more of it, or one less.

import { button, h } from "./dom.js";
import { line } from "./line.js";
import { showPaper } from "./papers.js";
import { day, STATE } from "./wording.js";

const UNBEGUN = ["marked", "accepted"];

export function groupOf(sheet) {
  const { order, group } = sheet;
  if (!order.group) return null;
  const open = async (event) => {
    if (!event.target.open || sheet.group?.etag === sheet.etag) return;
    try {
      sheet.group = { etag: sheet.etag, ...(await line.get(`/v1/order-groups/${order.group}`)).body };
      sheet.draw();
    } catch (problem) {
      sheet.say(problem.message);
    }
  };
  return h("details", { ontoggle: open }, h("summary", {}, "Of a group"), group && [
    h("p", {}, `All promised for ${day(group.promised_for)}${group.ready ? ", and all is ready." : "."}`),
    h("ul", {}, group.orders.map((each) => h("li", {}, button([h("strong", { class: "number" }, each.number), h("span", {}, ` ${STATE[each.state]}`), h("span", { class: "foot" }, each.customer_ref ?? "")],
      () => { location.hash = `${sheet.at === "bench" ? "bench" : "counter/order"}/${each.id}`; }, { class: "card", "data-at": `of group ${each.number}` })))),
    h("div", { class: "doing" }, button("The group's sheet", () => showPaper(`/v1/order-groups/${order.group}/sheet`, "The group's sheet")),
      sheet.at === "counter" && button("One more of them: to the mirror", () => { location.hash = `mirror/group/${order.group}`; }, { "data-at": "one more" })),
    sheet.at === "counter" && UNBEGUN.includes(order.state) && leaving(sheet)]);
}

// Who goes alone keeps their own day, and the others are promised without them.
function leaving(sheet) {
  const { order } = sheet;
  const leave = async (event) => {
    event.preventDefault();
    const why = event.target.querySelector("input").value.trim();
    if (!why) return sheet.say("Say why it leaves the group.");
    const before = order.promised_for;
    await sheet.change(`${order.number} out of its group`, `/v1/order-groups/${order.group}/members/${order.id}?units=in&reason=${encodeURIComponent(why)}`, undefined, { group: null }, "DELETE");
    if (!sheet.order.group) sheet.done = `It goes on alone, promised for ${day(sheet.order.promised_for)}${sheet.order.promised_for === before ? "" : `, before ${day(before)}. Tell them`}.`;
    return sheet.draw();
  };
  return h("form", { class: "doing", onsubmit: leave }, h("label", {}, "Out of the group. Why? ", h("input", { type: "text", maxlength: 200, "data-at": "leave why" })),
    h("button", { type: "submit", "data-at": "leave group" }, "Let it go on alone"));
}
