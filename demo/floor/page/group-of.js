// On the sheet of an order that is of a group: the others, how far each is, and the group's own sheet.

import { button, h } from "./dom.js";
import { line } from "./line.js";
import { showPaper } from "./papers.js";
import { day, STATE } from "./wording.js";

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
    button("The group's sheet", () => showPaper(`/v1/order-groups/${order.group}/sheet`, "The group's sheet"))]);
}
